// A world whose log is only what demand needs: every true enable and release in the house format, nothing lost, no signs of life.
// An eighth of the work of a whole one, so that fifty can be read.
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Truth, WorldOptions } from "../../sample-logs/index.ts";
import { addressText, compressor, groups, machines } from "../../sample-logs/place.ts";
import { table } from "../../sample-logs/truth.ts";
import { makeWorld } from "../../sample-logs/world.ts";
import { rosterText, workshopText } from "../../sample-logs/write.ts";

export interface PlainWorld {
  workshop: string;
  log: string;
  /** Wishes and opening hours alone. */
  truth: Pick<Truth, "about" | "groups" | "tables">;
}

export function writePlainWorld(dir: string, options: WorldOptions): PlainWorld {
  const { calendar, hours, people, use } = makeWorld(options);
  mkdirSync(dir, { recursive: true });
  const workshop = join(dir, "workshop.yaml");
  const outages = use.downs
    .filter(({ from, until }) => until - from > 900)
    .map(({ machine, from, until, reason }) => ({
      machine: machines[machine]!.id,
      from: calendar.minute(from + 59),
      ...(until < calendar.until ? { until: calendar.minute(until) } : {}),
      reason,
    }));
  // It has nothing but its meter.
  const readings = [{ machine: compressor.id, time: calendar.minute(calendar.from + 12 * 3600), hours: compressor.meter }];
  const text = workshopText({ calendar, hours, readings, parts: [], outages, factors: new Map() });
  // The house format needs no profile.
  writeFileSync(workshop, text.replace(/^profile: .*\n/m, ""));
  writeFileSync(join(dir, "roster.csv"), rosterText(calendar, people));
  const stamp = (time: number) => new Date(time * 1000).toISOString().replace(".000", "");
  const lines = use.sessions.flatMap(({ start, end, address, badge }) => [
    { time: start, text: `${stamp(start)},${addressText(address)},enable,${badge}` },
    ...(end < calendar.until ? [{ time: end, text: `${stamp(end)},${addressText(address)},release,${badge}` }] : []),
  ]);
  lines.sort((a, b) => a.time - b.time);
  const log = join(dir, "log.csv");
  writeFileSync(log, `time,station,event,badge\n${lines.map((line) => line.text).join("\n")}\n`);
  const { seed, mess, findings } = options;
  const about = {
    workshop: "plain",
    seed,
    zone: calendar.zone,
    from: stamp(calendar.from),
    until: stamp(calendar.until),
    mess,
    findings,
  };
  const tables = {
    wishes: table(
      ["group", "outcome"],
      use.wishes.map(({ group, outcome }) => [group, outcome]),
    ),
    opening: table(
      ["from", "until"],
      calendar.stretches.map(({ from, until }) => [from, until]),
    ),
  };
  return {
    workshop,
    log,
    truth: { about, groups: groups.map(({ id }) => id), tables: tables as unknown as Truth["tables"] },
  };
}
