// What stands around findings on the Safety page: the workshop's own clock, opening hours by day, sessions near each, norms of
// length, permissions that end soon.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../../shared/question.ts";
import { dayAfter } from "../../../shared/times.ts";
import type { Finding } from "../index.ts";
import { loadNorms } from "../norms/load-norms.ts";

const clocksQuestion = question(import.meta.url, "./clocks.sql");
const openQuestion = question(import.meta.url, "./open-stretches.sql");
const neighboursQuestion = question(import.meta.url, "./neighbours.sql");
const permissionsQuestion = question(import.meta.url, "./permissions.sql");

/** An instant on the workshop's wall: local day and hours of its clock. */
export interface Clock {
  day: string;
  hours: number;
}

export interface DayStretch {
  day: string;
  from: number;
  until: number;
}

export interface Neighbour {
  machine: string;
  machineName: string;
  badge: string | null;
  from: Clock;
  until: Clock;
  ended: string;
}

export interface Permission {
  badge: string;
  person: string;
  name: string | null;
  role: string;
  machines: string[];
  validUntil: string;
  sessions: number;
}

export interface LengthStrip {
  machine: string;
  name: string;
  sessions: number;
  medianMinutes: number;
  lowerMinutes: number | null;
  upperMinutes: number | null;
  /** 10, 25, 75, 90 and 99 % of its sessions are shorter. */
  quantiles: number[];
}

export type ClockOf = (instant: Date) => Clock;

/** The workshop's clock at each of the instants given. */
export async function clocksOf(connection: DuckDBConnection, zone: string, instants: readonly Date[]): Promise<ClockOf> {
  const rows = await ask<{ instant: string; day: string; hours: number }>(connection, clocksQuestion, {
    zone,
    instants: JSON.stringify(instants.map((instant) => instant.toISOString())),
  });
  const known = new Map(rows.map(({ instant, day, hours }) => [instant, { day, hours }]));
  return (instant) => {
    const clock = known.get(instant.toISOString());
    if (clock === undefined) throw new RangeError(`the clock at ${instant.toISOString()} was not asked for`);
    return clock;
  };
}

/** A stretch between two clocks, cut at local midnights; one of no length keeps its place. */
export function byDay(from: Clock, until: Clock): DayStretch[] {
  if (from.day === until.day) return [{ day: from.day, from: from.hours, until: Math.max(from.hours, until.hours) }];
  const stretches: DayStretch[] = [];
  for (let day = from.day; day <= until.day; day = dayAfter(day, 1)) {
    const end = day === until.day ? until.hours : 24;
    if (end > 0) stretches.push({ day, from: day === from.day ? from.hours : 0, until: end });
  }
  return stretches;
}

export const openStretches = (
  connection: DuckDBConnection,
  span: { from: Date; until: Date },
): Promise<{ from: Date; until: Date; state: "staffed" | "member" }[]> => ask(connection, openQuestion, span);

export async function neighboursOf(
  connection: DuckDBConnection,
  findings: readonly Finding[],
  { asOf, zone }: { asOf: Date; zone: string },
): Promise<Map<string, Neighbour[]>> {
  if (findings.length === 0) return new Map();
  const rows = await ask<Omit<Neighbour, "from" | "until"> & { id: string; from: Date; until: Date }>(
    connection,
    neighboursQuestion,
    {
      as_of: asOf,
      findings: JSON.stringify(
        findings.map(({ id, machine, station, badge, from, until }) => ({
          id,
          machine,
          station,
          badge,
          from: from.toISOString(),
          until: until.toISOString(),
        })),
      ),
    },
  );
  const clockOf = await clocksOf(
    connection,
    zone,
    rows.flatMap(({ from, until }) => [from, until]),
  );
  const near = new Map<string, Neighbour[]>();
  for (const { id, from, until, ...row } of rows) {
    near.set(id, [...(near.get(id) ?? []), { ...row, from: clockOf(from), until: clockOf(until) }]);
  }
  return near;
}

export async function endingPermissions(
  connection: DuckDBConnection,
  { today, asOf, days = 30 }: { today: string; asOf: Date; days?: number },
): Promise<Permission[]> {
  const rows = await ask<Omit<Permission, "machines"> & { machines: string }>(connection, permissionsQuestion, {
    today,
    days,
    as_of: asOf,
  });
  return rows.map(({ machines, ...row }) => ({ ...row, machines: machines === "" ? [] : (JSON.parse(machines) as string[]) }));
}

/** How long sessions on each machine usually are, with fences that respect skew; machines with a dozen sessions or more. */
export async function lengthStrips(connection: DuckDBConnection): Promise<LengthStrip[]> {
  const norms = await loadNorms(connection);
  return [...norms.byMachine.values()]
    .filter(({ machine, sessions }) => sessions >= 12 && !machine.startsWith("station:"))
    .map(({ machine, sessions, medianSeconds, logs }) => {
      const fences = norms.fences(machine);
      const quantile = (share: number) => Math.exp(logs[Math.min(logs.length - 1, Math.floor(share * logs.length))]!) / 60;
      return {
        machine,
        name: norms.nameOf(machine),
        sessions,
        medianMinutes: medianSeconds / 60,
        lowerMinutes: fences === null ? null : fences.lowerSeconds / 60,
        upperMinutes: fences === null ? null : fences.upperSeconds / 60,
        quantiles: [0.1, 0.25, 0.75, 0.9, 0.99].map(quantile),
      };
    });
}
