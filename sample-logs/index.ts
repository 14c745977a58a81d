// The sample workshop: an invented place whose logs are made from a truth that is written beside them.
// In it: place and parts (what stands where), people, demand (wishes), faults, use and wear (what truly happened), planted (what a
// safety lead should see), messages (what stations say), mess (what the server writes), tell and truth (what is known of it all).
// Knows shared/ only. Start reading at world.ts, then use.ts; `truth.ts` has the reader of truth.json.
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Calendar } from "./calendar.ts";
import { typedFactors } from "./guess.ts";
import { filesFrom, type LogFile } from "./mess.ts";
import { messagesFrom } from "./messages.ts";
import { machines } from "./place.ts";
import { chanceFrom } from "./random.ts";
import { truthFrom } from "./tell.ts";
import { truthText } from "./truth.ts";
import type { Down, TrueSession } from "./use.ts";
import { makeWorld } from "./world.ts";
import { type OutageInFile, profileName, profileText, rosterText, serviceText, workshopText } from "./write.ts";

export { loadTruth, rowsOf, type Truth, tableNames } from "./truth.ts";
export { memberHours, memberHoursOf, type WorldOptions } from "./world.ts";

export interface SampleOptions {
  /** Folder to write into; made where it isn't there. */
  dir: string;
  seed?: number;
  years?: number;
  /** First local day that is no longer in the logs. */
  until?: string;
  /** Power cuts, lost and late lines, wrong clocks, junk. */
  mess?: boolean;
  /** What a safety lead should see. */
  findings?: boolean;
}

export interface SampleWorkshop {
  dir: string;
  workshop: string;
  roster: string;
  profile: string;
  service: string;
  truth: string;
  logs: string[];
  counts: { lines: number; sessions: number; turns: number; people: number; machines: number; services: number; planted: number };
  files: Omit<LogFile, "bytes">[];
}

/**
 * Writes a whole invented workshop into a folder: `workshop.yaml`, `roster.csv`, a log profile, `logs/` by month, `service.csv`, and
 * `truth.json`. The same options give the same bytes on every machine. Without mess and findings nothing is wrong in it.
 */
export function writeSampleWorkshop({
  dir,
  seed = 1,
  years = 2,
  until = "2026-10-01",
  mess = true,
  findings = true,
}: SampleOptions): SampleWorkshop {
  const world = makeWorld({ seed, years, until, mess, findings });
  const { calendar, hours, people, faults, use, words, worn } = world;
  const { messages, bounces } = messagesFrom({
    calendar,
    people,
    sessions: use.sessions,
    cuts: faults.cuts,
    chatter: words.chatter,
    bounceShare: mess ? 0.003 : 0,
    slips: words.slips,
    extra: words.extra,
    refusalsPerSpell: 0.35,
    chance: chanceFrom(seed, "messages"),
  });
  const { files, seen } = filesFrom(messages, {
    calendar,
    cuts: faults.cuts,
    losses: [...words.silent, ...faults.losses],
    missing: words.missing,
    isMessy: mess,
    sessionCount: use.sessions.length,
    chance: chanceFrom(seed, "mess"),
  });

  const truth = truthFrom(world, { messages, bounces, files, seen });

  mkdirSync(join(dir, "logs"), { recursive: true });
  const put = (name: string, content: string | Buffer) => {
    const path = join(dir, name);
    writeFileSync(path, content);
    return path;
  };
  return {
    dir,
    workshop: put(
      "workshop.yaml",
      workshopText({
        calendar,
        hours,
        readings: worn.readings,
        parts: worn.partsInFile,
        outages: outagesFrom(calendar, use.downs),
        factors: typedFactors(seed, trueRatios(use.sessions)),
      }),
    ),
    roster: put("roster.csv", rosterText(calendar, people)),
    profile: put(profileName, profileText()),
    service: put("service.csv", serviceText(calendar, worn.services)),
    truth: put("truth.json", truthText(truth)),
    logs: files.map(({ name, bytes }) => put(join("logs", name), bytes)),
    counts: {
      lines: files.reduce((sum, { lines }) => sum + lines, 0),
      sessions: use.sessions.length,
      turns: use.turns,
      people: people.length,
      machines: machines.length + 2,
      services: worn.services.length,
      planted: truth.tables.planted.rows.length,
    },
    files: files.map(({ bytes, ...rest }) => rest),
  };
}

/** Run-hours per enabled hour of the machines without a current sensor that were used at all. */
function trueRatios(sessions: readonly TrueSession[]): Map<string, number> {
  const sums = machines.map(() => ({ motor: 0, enabled: 0 }));
  for (const { machine, start, end, motorSeconds } of sessions) {
    sums[machine]!.motor += motorSeconds;
    sums[machine]!.enabled += end - start;
  }
  return new Map(
    machines.flatMap(({ id, burst }, index) => {
      const { motor, enabled } = sums[index]!;
      return burst === undefined && enabled > 0 ? [[id, motor / enabled] as const] : [];
    }),
  );
}

/** What the volunteers noted in the workshop file: from the minute after it stopped to the minute it worked again. */
function outagesFrom(calendar: Calendar, downs: Down[]): OutageInFile[] {
  return downs
    .filter(({ from, until }) => until - from > 900)
    .map(({ machine, from, until, reason }) => ({
      machine: machines[machine]!.id,
      from: calendar.minute(from + 59),
      ...(until < calendar.until ? { until: calendar.minute(until) } : {}),
      reason,
    }));
}
