// The working tables behind hours: what makes a machine's hours, cut at local days or hours.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import type { Window } from "./asked.ts";

const cover = question(import.meta.url, "./cover.sql");
const coverStored = question(import.meta.url, "./cover-stored.sql");
const slots = question(import.meta.url, "./slots.sql");
const stretchTable = question(import.meta.url, "./stretch-table.sql");
const stretches = question(import.meta.url, "./stretches.sql");
const stretchesWindows = question(import.meta.url, "./stretches-windows.sql");
const stretchesDriven = question(import.meta.url, "./stretches-driven.sql");
const stretchesAlways = question(import.meta.url, "./stretches-always.sql");
const stretchesMotor = question(import.meta.url, "./stretches-motor.sql");
const sourcesQuestion = question(import.meta.url, "./sources.sql");
const driversQuestion = question(import.meta.url, "./drivers.sql");
const pieces = question(import.meta.url, "./pieces.sql");
const pieceDraws = question(import.meta.url, "./piece-draws.sql");
const pieceMembers = question(import.meta.url, "./piece-members.sql");

export interface Known {
  machine: string | null;
  /** RFC 3339 or DuckDB's own text of an instant; infinity: everything stored is known. */
  asOf: string;
  logFrom: string;
  zone: string;
}

/** Makes hours_cover: where motor events tell. `stored`: from the roll-ups. */
export async function makeCover(connection: DuckDBConnection, { machine, asOf }: Known, stored: boolean): Promise<void> {
  if (stored) await perform(connection, coverStored, { machine });
  else await perform(connection, cover, { machine, as_of: asOf });
}

interface Driver {
  machine: string;
  driver: string;
  load: number;
  run_on_seconds: number;
}

/** How sessions of one machine make another's hours. */
interface Feed {
  machine: string;
  measure: "enabled" | "load";
  weight: number;
  /** The union it is part of; null: each session by itself. */
  source: string | null;
  driver: string;
  runOn: number;
}

/** Up to so many windows each is a scan of its own, which leaves out what lies outside. */
const FEW_WINDOWS = 12;

// Drivers of drivers deeper than this are a cycle, which the workshop file's check refuses.
const DEEPEST = 50;

/** The machines with stations at the end of all drivers of drivers, with the longest way's sum of run-ons. */
function leavesOf(machine: string, drivers: readonly Driver[], depth = 0): Map<string, number> {
  const leaves = new Map<string, number>();
  if (depth > DEEPEST) return leaves;
  for (const { driver, run_on_seconds } of drivers.filter((row) => row.machine === machine)) {
    const below = drivers.some((row) => row.machine === driver) ? leavesOf(driver, drivers, depth + 1) : new Map([[driver, 0]]);
    for (const [leaf, runOn] of below) leaves.set(leaf, Math.max(leaves.get(leaf) ?? 0, runOn + run_on_seconds));
  }
  return leaves;
}

/**
 * What the drivers send. A machine's hours are the union of its drivers' stretches with the run-on; its load is each driver's hours
 * without any run-on, weighted: while a driver runs on, nothing comes from it.
 */
function feedsOf(asked: string | null, drivers: readonly Driver[]): Feed[] {
  const feeds: Feed[] = [];
  for (const machine of new Set(drivers.map((row) => row.machine))) {
    if (asked !== null && machine !== asked) continue;
    for (const [driver, runOn] of leavesOf(machine, drivers)) {
      feeds.push({ machine, measure: "enabled", weight: 1, source: "", driver, runOn });
    }
    for (const { driver, load } of drivers.filter((row) => row.machine === machine)) {
      if (drivers.some((row) => row.machine === driver)) {
        for (const leaf of leavesOf(driver, drivers).keys()) {
          feeds.push({ machine, measure: "load", weight: load, source: driver, driver: leaf, runOn: 0 });
        }
      } else feeds.push({ machine, measure: "load", weight: load, source: null, driver, runOn: 0 });
    }
  }
  return feeds;
}

/** Makes hours_stretch within the windows; hours_cover must stand, unless what current sensors saw is not `wanted`. */
export async function makeStretches(
  connection: DuckDBConnection,
  windows: readonly Window[],
  { machine, asOf, logFrom }: Known,
  wanted: "all" | "enabled" = "all",
): Promise<void> {
  const [sources] = await ask<{ always_on: number; motors: number; drivers: number }>(connection, sourcesQuestion);
  const feeds = sources!.drivers === 0 ? [] : feedsOf(machine, await ask<Driver>(connection, driversQuestion));
  const listed = JSON.stringify(windows);
  const machines = machine === null ? null : JSON.stringify([machine, ...feeds.map(({ driver }) => driver)]);
  const margin = Math.max(0, ...feeds.map(({ runOn }) => runOn));
  await perform(connection, stretchTable);
  if (windows.length > FEW_WINDOWS) {
    await perform(connection, stretchesWindows, {
      windows: listed,
      machines,
      asked: machine,
      margin_seconds: margin,
      as_of: asOf,
    });
  } else {
    for (const window of windows) {
      await perform(connection, stretches, { ...window, machines, asked: machine, margin_seconds: margin, as_of: asOf });
    }
  }
  if (feeds.length > 0) await perform(connection, stretchesDriven, { feeds: JSON.stringify(feeds), as_of: asOf });
  if (sources!.always_on > 0) {
    await perform(connection, stretchesAlways, { windows: listed, asked: machine, as_of: asOf, log_from: logFrom });
  }
  if (sources!.motors > 0 && wanted === "all")
    await perform(connection, stretchesMotor, { windows: listed, asked: machine, as_of: asOf });
}

/** Makes hours_slot, hours_stretch and hours_piece; hours_cover must stand. */
export async function makePieces(
  connection: DuckDBConnection,
  windows: readonly Window[],
  known: Known,
  grain: "day" | "hour",
): Promise<void> {
  const { zone } = known;
  await perform(connection, slots, { windows: JSON.stringify(windows), zone, grain });
  await makeStretches(connection, windows, known);
  await perform(connection, pieces, { zone, grain });
}

/** Makes hours_draw from hours_stretch and hours_slot. */
export async function makeDraws(connection: DuckDBConnection, { zone }: Known, grain: "day" | "hour"): Promise<void> {
  await perform(connection, pieceDraws, { zone, grain });
}

/** Makes hours_member from hours_stretch. */
export async function makeMembers(connection: DuckDBConnection, { zone }: Known, grain: "day" | "hour"): Promise<void> {
  await perform(connection, pieceMembers, { zone, grain });
}
