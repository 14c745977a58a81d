// The workshop file as tables, so that every question asks in SQL. Rewritten only where the file has changed.
import { createHash } from "node:crypto";
import type { DuckDBConnection } from "@duckdb/node-api";
import { isStandIn } from "./badges.ts";
import { joinBench } from "./bench.ts";
import { WEEKDAYS } from "./opening-hours.ts";
import { ask, perform, type Question, question } from "./question.ts";
import { keepNote, noteOfStore } from "./store.ts";
import { instantsFromLocal, localFromTyped } from "./store-times.ts";
import { writeTasks } from "./task-tables.ts";
import { dayAfter, instantFromTyped } from "./times.ts";
import type { WorkshopFile } from "./workshop.ts";
import { kindOfMachine, type Workshop } from "./workshop-schema.ts";
import { writeRows } from "./write-rows.ts";

const here = (name: string): Question => question(import.meta.url, `./config-tables/${name}.sql`);
const questions = {
  openingDays: here("opening-days"),
  opening: here("opening"),
  machine: here("machine"),
  station: here("machine-station"),
  driver: here("machine-driver"),
  workshopMeter: here("workshop-meter"),
  workshopOutage: here("workshop-outage"),
  roster: here("roster"),
};

/** Counts up when the same file comes to other rows, so that stores made before are rewritten. */
const TABLES_VERSION = 2;

export interface ApplyOptions {
  /** The badge as it is stored: `badgeHasher(…)`. */
  storedBadge: (badge: string) => string;
  /** How far beyond the log and today opening hours are needed. */
  horizonDays: number;
  /** Today; the clock's where not given. */
  now?: Date;
}

/**
 * Brings the workshop's tables (machine and machine_…, part, task, task_limit, roster, opening) up to
 * date, in the caller's transaction. Gives whether file, roster or badge key differ from what the store had; opening hours are
 * extended without that where the log has grown.
 */
export async function applyWorkshop(connection: DuckDBConnection, file: WorkshopFile, options: ApplyOptions): Promise<boolean> {
  const fingerprint = createHash("sha256")
    .update(JSON.stringify([TABLES_VERSION, file.fingerprint, options.storedBadge("")]))
    .digest("hex");
  const isNew = (await noteOfStore(connection, "workshop")) !== fingerprint;
  if (isNew) {
    await writeMachines(connection, file.workshop);
    await writeRows(connection, "roster", questions.roster, rosterRows(file, options.storedBadge));
    await keepNote(connection, "workshop", fingerprint);
  }
  await ensureOpening(connection, file, options);
  return isNew;
}

/**
 * Computes the opening hours of every local day that log and forecasts need, where those in the store don't reach. Gives whether
 * they were written anew. Where the workshop file has no hours there are no rows.
 */
export async function ensureOpening(
  connection: DuckDBConnection,
  file: WorkshopFile,
  { horizonDays, now = new Date() }: Pick<ApplyOptions, "horizonDays" | "now">,
): Promise<boolean> {
  const { hours, workshop } = file.workshop;
  const rule = createHash("sha256")
    .update(JSON.stringify([TABLES_VERSION, workshop.zone, hours ?? null]))
    .digest("hex");
  const [needed] = await ask<OpeningDays>(connection, questions.openingDays, {
    zone: workshop.zone,
    now,
    horizon_days: horizonDays,
  });
  if (needed === undefined) throw new RangeError("the days that opening hours are needed for are one row");
  const had = openingNoted(await noteOfStore(connection, "opening"));
  if (had !== undefined && had.rule === rule && had.first_day <= needed.first_day && had.last_day >= needed.last_day)
    return false;
  // Days ahead beyond what is asked, so that a live log doesn't rewrite them every midnight; days had before stay.
  const isSame = had?.rule === rule;
  const ahead = dayAfter(needed.last_day, SPARE_DAYS);
  const first_day = isSame && had.first_day < needed.first_day ? had.first_day : needed.first_day;
  const last_day = isSame && had.last_day > ahead ? had.last_day : ahead;
  await connection.run("DELETE FROM opening");
  if (hours !== undefined) {
    await perform(connection, questions.opening, {
      zone: workshop.zone,
      first_day,
      last_day,
      week: JSON.stringify(weekRows(hours)),
      exceptions: JSON.stringify(exceptionRows(hours)),
    });
  }
  await keepNote(connection, "opening", JSON.stringify({ rule, first_day, last_day }));
  return true;
}

const SPARE_DAYS = 31;

interface OpeningDays {
  first_day: string;
  last_day: string;
}

const openingNoted = (value: string | null): (OpeningDays & { rule: string }) | undefined =>
  value === null ? undefined : (JSON.parse(value) as OpeningDays & { rule: string });

async function writeMachines(connection: DuckDBConnection, { machines, workshop: { zone } }: Workshop): Promise<void> {
  const typed = machines.flatMap((machine) => [
    machine.from,
    machine.until,
    ...(machine.stations ?? []).flatMap(({ from, until }) => [from, until]),
    ...machine.outages.flatMap(({ from, until }) => [from, until]),
    ...(machine.meter_readings ?? []).map(({ time }) => time),
    ...machine.parts.map(({ fitted }) => fitted),
  ]);
  const sides = ["since", "until"] as const;
  const locals = typed.flatMap((text) => sides.flatMap((side) => (text === undefined ? [] : (localFromTyped(text, side) ?? []))));
  const instants = await instantsFromLocal(connection, zone, locals);
  const instant = (text: string | undefined, side: "since" | "until"): string | null => {
    if (text === undefined) return null;
    const local = localFromTyped(text, side);
    if (local === undefined) return instantFromTyped(text, zone, { field: "time", side }).toISOString();
    const found = instants.get(local);
    if (found === undefined) throw new RangeError(`no instant for ${local}`);
    return found;
  };
  const lives = new Map(
    machines.map(({ id, from, until }) => [id, { from_at: instant(from, "since"), until_at: instant(until, "until") }]),
  );

  await writeRows(
    connection,
    "machine",
    questions.machine,
    machines.map((machine, ordinal) => ({
      machine: machine.id,
      ordinal,
      name: machine.name ?? machine.id,
      group_id: machine.group ?? machine.id,
      room: machine.room ?? null,
      hazard: machine.hazard,
      alone: machine.alone ?? null,
      kind: kindOfMachine(machine),
      ...lives.get(machine.id),
      run_on_seconds: machine.run_on_seconds ?? 0,
      run_factor_low: machine.run_factor?.low ?? null,
      run_factor_best: machine.run_factor?.best ?? null,
      run_factor_high: machine.run_factor?.high ?? null,
      run_factor_fixed: machine.run_factor_fixed,
    })),
  );
  await writeRows(
    connection,
    "machine_station",
    questions.station,
    machines.flatMap(({ id, stations = [] }) =>
      stations.map(({ station, from, until }) => ({
        machine: id,
        station,
        from_at: latest(instant(from, "since"), lives.get(id)?.from_at ?? null),
        until_at: earliest(instant(until, "since"), lives.get(id)?.until_at ?? null),
      })),
    ),
  );
  await writeRows(
    connection,
    "machine_driver",
    questions.driver,
    machines.flatMap(({ id, driven_by = {} }) =>
      Object.entries(driven_by).map(([driver, { load }]) => ({ machine: id, driver, load })),
    ),
  );
  await writeRows(
    connection,
    "workshop_meter",
    questions.workshopMeter,
    machines.flatMap(({ id, meter_readings = [] }) =>
      meter_readings.map(({ time, hours }) => ({ machine: id, read_at: instant(time, "since"), hours })),
    ),
  );
  await writeRows(
    connection,
    "workshop_outage",
    questions.workshopOutage,
    machines.flatMap(({ id, outages }) =>
      outages.map(({ from, until, reason }) => ({
        machine: id,
        from_at: instant(from, "since"),
        until_at: instant(until, "until"),
        reason: reason ?? null,
      })),
    ),
  );
  await writeTasks(connection, machines, (text) => instant(text, "since"));
  await joinBench(connection);
}

const latest = (a: string | null, b: string | null): string | null =>
  a === null || b === null ? (a ?? b) : Date.parse(a) > Date.parse(b) ? a : b;
const earliest = (a: string | null, b: string | null): string | null =>
  a === null || b === null ? (a ?? b) : Date.parse(a) < Date.parse(b) ? a : b;

/** Of somebody who was forgotten the rows stay, for a maintainer's runs are no demand; badge, person and name don't. */
function rosterRows({ roster }: WorkshopFile, storedBadge: (badge: string) => string): object[] {
  const standIns = new Map<string, string>();
  for (const { badge, person } of roster) {
    const stored = storedBadge(badge);
    const known = standIns.get(person);
    if (isStandIn(stored) && (known === undefined || stored < known)) standIns.set(person, stored);
  }
  return roster.map(({ badge, person, name, role, validFrom, validUntil, machines }) => {
    const stored = storedBadge(badge);
    const isForgotten = isStandIn(stored);
    return {
      badge: stored,
      person: isForgotten ? (standIns.get(person) ?? stored) : person,
      name: isForgotten ? null : name,
      role,
      valid_from: validFrom,
      valid_until: validUntil,
      machines,
    };
  });
}

type Hours = NonNullable<Workshop["hours"]>;
type State = "staffed" | "member";

const STATES: readonly State[] = ["staffed", "member"];

function weekRows(hours: Hours): object[] {
  return STATES.flatMap((state) =>
    WEEKDAYS.flatMap((day, index) =>
      (hours[state][day] ?? []).map(({ fromMinute, untilMinute }) => ({
        weekday: index + 1,
        state,
        from_minute: fromMinute,
        until_minute: untilMinute,
      })),
    ),
  );
}

function exceptionRows(hours: Hours): object[] {
  return hours.exceptions.map((exception, ordinal) => ({
    ordinal,
    first_day: exception.date ?? exception.from,
    last_day: exception.date ?? exception.until,
    spans: STATES.flatMap((state) =>
      (exception[state] ?? []).map(({ fromMinute, untilMinute }) => ({
        state,
        from_minute: fromMinute,
        until_minute: untilMinute,
      })),
    ),
  }));
}
