// A small workshop whose truth is known: badges in holders, motors, power cuts, network losses, lines that get lost, contacts that
// bounce. What reaches the log is what the derivation gets to see.
import type { DuckDBConnection } from "@duckdb/node-api";
import { fill, type Line } from "./shop.ts";

export interface TrueSession {
  station: string;
  badge: string;
  /** Seconds since the simulation's start. */
  start: number;
  end: number;
}

export interface World {
  sessions: TrueSession[];
  lines: Line[];
  /** Signs of life that were heard. */
  signs: Sign[];
}

export interface Sign {
  station: string;
  at: number;
}

export interface Stretch {
  station: string;
  first: number;
  last: number;
  signs: number;
  gap: number;
}

export interface Settings {
  seed: number;
  stations: number;
  days: number;
  /** Share of releases that get lost though the network works. */
  lostReleases?: number;
  /** Share of enables that get lost. */
  lostEnables?: number;
  /** Whether stations give signs of life, every minute. */
  alive?: boolean;
  cuts?: number;
  losses?: number;
  motors?: boolean;
  chatter?: number;
}

/** The simulation's start: a Monday. */
export const start = Date.UTC(2025, 2, 3) / 1000;
export const dateOf = (seconds: number): Date => new Date(Math.round((start + seconds) * 1000));

/** Mulberry32, a small generator of numbers from 0 up to 1 (public domain, from memory). */
function chance(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const rhythm = 60;

export function simulate(settings: Settings): World {
  const {
    seed,
    stations,
    days,
    lostReleases = 0,
    lostEnables = 0,
    alive = true,
    cuts = 0,
    losses = 0,
    motors = false,
    chatter = 0,
  } = settings;
  const random = chance(seed);
  const between = (low: number, high: number) => low + random() * (high - low);
  const whole = days * 86_400;
  // Cuts hit every station; losses one station or all. No loss begins within ten minutes of a cut: who could tell them apart?
  const dark = spans(cuts, whole, () => between(20, 4 * 3600), between);
  const names = Array.from({ length: stations }, (_, index) => String(index + 1));
  const lost = spans(losses, whole, () => between(300, 3 * 3600), between)
    .filter((loss) => dark.every((cut) => Math.abs(cut.from - loss.from) > 600))
    .map((loss) => ({ ...loss, stations: random() < 0.3 ? names : [names[Math.floor(random() * names.length)]!] }));
  const world: World = { sessions: [], lines: [], signs: [] };
  for (const station of names) {
    const unheard = (at: number) => lost.some((loss) => loss.stations.includes(station) && at >= loss.from && at < loss.until);
    const boots = dark.map((cut) => ({ cut, at: cut.until + between(5, 60) }));
    const powered = (at: number) => boots.every(({ cut, at: boot }) => at < cut.from || at >= boot);
    const told: { at: number; kind: string; badge: string | null; mayGetLost: boolean }[] = [];
    let now = between(0, 7200);
    while (now < whole) {
      const from = Math.round(now);
      const length = Math.round(60 + Math.exp(between(4, 8.5)));
      const cut = dark.find((dark) => dark.until > from && dark.from < from + length);
      if (cut && from >= cut.from - 1) {
        now = cut.until + 120 + between(0, 600);
        continue;
      }
      const badge = `b${Math.floor(random() * 12)}`;
      const end = cut ? cut.from : from + length;
      world.sessions.push({ station, badge, start: from, end });
      told.push({ at: from, kind: "enable", badge, mayGetLost: false });
      if (random() < chatter && length > 60) {
        told.push(
          { at: from + 1, kind: "release", badge, mayGetLost: false },
          { at: from + 2, kind: "enable", badge, mayGetLost: false },
        );
      }
      if (motors && end - from > 120) {
        const on = Math.round(between(from + 5, end - 60));
        told.push({ at: on, kind: "motor-on", badge: null, mayGetLost: false });
        told.push({ at: Math.round(between(on + 1, end - 1)), kind: "motor-off", badge: null, mayGetLost: false });
      }
      if (!cut) told.push({ at: end, kind: "release", badge, mayGetLost: true });
      now = (cut ? cut.until + 120 : end) + between(30, 4 * 3600);
    }
    for (const { at } of boots) told.push({ at, kind: "boot", badge: null, mayGetLost: false });
    told.sort((a, b) => a.at - b.at);
    told.forEach((line, index) => {
      if (unheard(line.at) && line.kind !== "boot") return;
      // A release that gets lost while the station is heard all the time, with a boot next, looks as if the cut had ended it.
      const next = told.slice(index + 1).find((later) => later.kind === "enable" || later.kind === "boot");
      if (lostEnables > 0 && line.kind === "enable" && random() < lostEnables) return;
      if (line.mayGetLost && next?.kind !== "boot" && random() < lostReleases) return;
      world.lines.push({ at: dateOf(line.at).toISOString(), station, kind: line.kind, badge: line.badge });
    });
    if (!alive) continue;
    const phase = between(0, rhythm);
    for (let at = phase; at < whole; at += rhythm) if (powered(at) && !unheard(at)) world.signs.push({ station, at });
  }
  world.lines.sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
  return world;
}

/** Signs of life as stretches in which the rhythm held. */
export function stretches(signs: Sign[]): Stretch[] {
  const made: Stretch[] = [];
  const open = new Map<string, Stretch>();
  for (const { station, at } of [...signs].sort((a, b) => a.at - b.at)) {
    const stretch = open.get(station);
    if (stretch && at - stretch.last < 2.5 * rhythm) {
      stretch.gap = Math.max(stretch.gap, at - stretch.last);
      stretch.last = at;
      stretch.signs += 1;
    } else {
      const next = { station, first: at, last: at, signs: 1, gap: 0 };
      made.push(next);
      open.set(station, next);
    }
  }
  return made;
}

function spans(count: number, whole: number, length: () => number, between: (low: number, high: number) => number) {
  return Array.from({ length: count }, (_, index) => {
    // One in each part of the time, so that none overlap.
    const part = whole / count;
    const from = Math.round(between((index + 0.05) * part, (index + 0.6) * part));
    return { from, until: Math.round(Math.min(from + length(), (index + 1) * part)) };
  });
}

/** Writes a world's lines and signs of life; `order` sorts the rows as they come to lie in the table. */
export async function write(
  connection: DuckDBConnection,
  world: World,
  order: (index: number) => number = (index) => index,
): Promise<void> {
  await fill(connection, world.lines);
  if (order(0) !== 0 || order(1) !== 1) {
    const rank = JSON.stringify(world.lines.map((_, index) => order(index)));
    await connection.run("CREATE TEMP TABLE shuffled AS SELECT event.* FROM event ORDER BY ($rank::json[])[line]::int", { rank });
    await connection.run("DELETE FROM event");
    await connection.run("INSERT INTO event FROM shuffled");
    await connection.run("DROP TABLE shuffled");
  }
  await writeAlive(connection, world.signs);
}

/** Writes the stretches of all signs known so far, in place of those before. */
export async function writeAlive(connection: DuckDBConnection, signs: Sign[]): Promise<void> {
  await connection.run("DELETE FROM alive_stretch");
  const rows = stretches(signs).map(({ station, first, last, signs, gap }) => ({
    station,
    first_at: dateOf(first).toISOString(),
    last_at: dateOf(last).toISOString(),
    signs,
    longest_gap_seconds: gap,
  }));
  await connection.run(
    `INSERT INTO alive_stretch BY NAME SELECT r.* FROM (SELECT unnest(from_json($rows,
     '[{"station":"VARCHAR","first_at":"TIMESTAMPTZ","last_at":"TIMESTAMPTZ","signs":"BIGINT","longest_gap_seconds":"DOUBLE"}]')) AS r)`,
    { rows: JSON.stringify(rows) },
  );
}
