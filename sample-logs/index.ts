// The sample workshop: an invented place whose logs are made from a truth that is written beside them.
// In it: place (what stands where), people, demand (wishes), use (what truly happened), wear, faults, messages, mess, planted, truth, write.
// Knows shared/ only. Start reading at use.ts; `truth.ts` says how to read what is known.
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type Calendar, calendarFrom } from "./calendar.ts";
import { wishesFrom } from "./demand.ts";
import { faultsFrom } from "./faults.ts";
import { filesFrom, type LogFile } from "./mess.ts";
import { messagesFrom } from "./messages.ts";
import { peopleFrom } from "./people.ts";
import { compressor, dustCollector, groups, machines, openingHours, place } from "./place.ts";
import { deedsFrom, findingsFromCuts, findingsFromSessions, longNights, noDeeds, noWords, wordsFrom } from "./planted.ts";
import { chanceFrom } from "./random.ts";
import { runHoursByMonth } from "./sums.ts";
import { type Truth, table, truthText } from "./truth.ts";
import { type Down, simulateUse } from "./use.ts";
import { careTimes, newWear } from "./wear.ts";
import { type OutageInFile, profileName, profileText, rosterText, serviceText, workshopText } from "./write.ts";

export { loadTruth, rowsOf, type Truth, tableNames } from "./truth.ts";

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
  const start = firstDay(until, years);
  const stream = (name: string) => chanceFrom(seed, name);
  const bare = calendarFrom(place.zone, start, until, { staffed: {}, member: {}, exceptions: [] });
  const changeDays = bare.changes.map(({ time }) => bare.date(time));
  const hours = openingHours(Number(start.slice(0, 4)), Number(until.slice(0, 4)), changeDays);
  const calendar = calendarFrom(place.zone, start, until, hours);
  const people = peopleFrom(calendar, stream("people"));
  const faults = mess ? faultsFrom(calendar, stream("faults"), years) : { cuts: [], losses: [] };
  const deeds = findings ? deedsFrom(calendar, stream("deeds"), years) : noDeeds();
  deeds.plan.forced.push(...longNights(calendar));
  const wishes = wishesFrom(calendar, stream("demand"), deeds.oddWeeks, deeds.quiet);
  const { wear, told: wearTold } = newWear(calendar, stream("wear"));
  const use = simulateUse({
    calendar,
    people,
    wishes,
    cuts: faults.cuts,
    careTimes: careTimes(calendar),
    wear,
    plan: deeds.plan,
    chance: stream("use"),
  });
  const { services, lives, readings, meterEvents, partsInFile, compressorRuns } = wearTold();
  const { sessions } = use;
  const { cuts } = faults;
  const words = findings ? wordsFrom({ calendar, chance: stream("words"), years, sessions, people, cuts }) : noWords();
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
    chance: stream("messages"),
  });
  const { files, seen } = filesFrom(messages, {
    calendar,
    cuts: faults.cuts,
    losses: [...words.silent, ...faults.losses],
    missing: words.missing,
    isMessy: mess,
    sessionCount: use.sessions.length,
    chance: stream("mess"),
  });

  const outside = [
    ...compressorRuns.map((run) => ({ id: compressor.id, ...run })),
    ...words.motorOutside.map(({ machine, start: from, end }) => ({ id: machines[machine]!.id, start: from, end })),
  ];
  const planted = [...deeds.findings, ...findingsFromSessions(sessions), ...words.findings, ...findingsFromCuts(cuts)];
  planted.sort((a, b) => a.from - b.from);
  const truth: Truth = {
    about: { workshop: place.name, seed, zone: place.zone, from: start, until, mess, findings },
    machines: machines.map(({ id }) => id),
    groups: groups.map(({ id }) => id),
    people: people.map(({ id }) => id),
    tables: {
      sessions: table(
        [
          "machine",
          "station",
          "person",
          "badge",
          "start",
          "end",
          "usualEnd",
          "ended",
          "motorSeconds",
          "starts",
          "enableSeen",
          "releaseSeen",
          "turn",
          "rule",
          "size",
        ],
        use.sessions.map((session, index) => [
          session.machine,
          session.address,
          session.person,
          session.badge,
          session.start,
          session.end,
          session.usualEnd,
          session.ended,
          session.motorSeconds,
          1 + bounces[index]!,
          seen.enable[index]!,
          seen.release[index]!,
          session.turn,
          session.rule,
          session.size,
        ]),
      ),
      motorOutside: table(
        ["machine", "start", "end", "rule"],
        words.motorOutside.map(({ machine, start: from, end, rule }) => [machine, from, end, rule]),
      ),
      runHours: table(
        ["machine", "month", "runHours", "enabledHours"],
        runHoursByMonth(calendar, use.sessions, outside, machines, dustCollector),
      ),
      cuts: table(
        ["kind", "from", "until", "machines", "clock", "clockUntil", "clockReads"],
        faults.cuts.map((cut) => [
          cut.kind,
          cut.from,
          cut.until,
          cut.machines.join(" "),
          cut.clock,
          cut.clockUntil,
          cut.clockReads,
        ]),
      ),
      losses: table(
        ["machine", "from", "until", "kept"],
        faults.losses.map(({ machine, from, until, isKept }) => [machine, from, until, isKept ? 1 : 0]),
      ),
      slips: table(
        ["machine", "from", "until", "address"],
        words.slips.map((slip) => [slip.machine, slip.from, slip.until, slip.address]),
      ),
      files: table(
        ["file", "lines", "stored", "duplicates", "ignored", "blank", "rejected", "unset", "late"],
        files.map((file) => [
          file.name,
          file.lines,
          file.stored,
          file.duplicates,
          file.ignored,
          file.blank,
          file.rejected,
          file.unset,
          file.late,
        ]),
      ),
      wishes: table(
        ["time", "group", "person", "outcome", "waitSeconds", "turn"],
        use.wishes.map((wish) => [wish.time, wish.group, wish.person, wish.outcome, wish.waitSeconds, wish.turn]),
      ),
      rates: table(
        ["group", "weeklyTurns", "growth"],
        groups.map(({ weeklyTurns, growth }, index) => [index, weeklyTurns, growth]),
      ),
      visits: table(
        ["person", "from", "until"],
        use.visits.map(({ person, from, until: to }) => [person, from, to]),
      ),
      downs: table(
        ["machine", "from", "until", "reason"],
        use.downs.map((down) => [down.machine, down.from, down.until, down.reason]),
      ),
      lives: table(
        ["machine", "part", "task", "unit", "shape", "scale", "from", "ageAtStart", "until", "age", "life", "cause", "recorded"],
        lives.map((life) => [
          life.machine,
          life.part,
          life.task,
          life.unit,
          life.shape,
          tidy(life.scale),
          life.from,
          tidy(life.ageAtStart),
          life.until,
          tidy(life.age),
          tidy(life.life),
          life.cause,
          life.recorded,
        ]),
      ),
      meters: table(
        ["machine", "time", "what", "written", "shown"],
        meterEvents.map(({ machine, time, what, written, shown }) => [machine, time, what, written, shown]),
      ),
      planted: table(
        ["rule", "machine", "group", "address", "badge", "from", "until", "size"],
        planted.map((item) => [item.rule, item.machine, item.group, item.address, item.badge, item.from, item.until, item.size]),
      ),
      opening: table(
        ["from", "until", "state"],
        calendar.stretches.map((stretch) => [stretch.from, stretch.until, stretch.state]),
      ),
      signals: table(
        ["time", "machine", "address", "word", "badge", "detail"],
        messages
          .filter(({ word }) => word === "refuse" || word === "change" || word === "boot")
          .map(({ time, machine, address, word, badge, detail }) => [time, machine, address, word, badge, detail]),
      ),
    },
  };

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
      workshopText({ calendar, hours, readings, parts: partsInFile, outages: outagesFrom(calendar, use.downs) }),
    ),
    roster: put("roster.csv", rosterText(calendar, people)),
    profile: put(profileName, profileText()),
    service: put("service.csv", serviceText(calendar, services)),
    truth: put("truth.json", truthText(truth)),
    logs: files.map(({ name, bytes }) => put(join("logs", name), bytes)),
    counts: {
      lines: files.reduce((sum, { lines }) => sum + lines, 0),
      sessions: use.sessions.length,
      turns: use.turns,
      people: people.length,
      machines: machines.length + 2,
      services: services.length,
      planted: planted.length,
    },
    files: files.map(({ bytes, ...rest }) => rest),
  };
}

function firstDay(until: string, years: number): string {
  const year = Number(until.slice(0, 4));
  if (Number.isInteger(years)) return `${year - years}${until.slice(4)}`;
  return new Date(Date.parse(`${until}T12:00:00Z`) - Math.round(years * 365.25) * 86_400_000).toISOString().slice(0, 10);
}

const tidy = (hours: number) => Math.round(hours * 1e4) / 1e4;

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
