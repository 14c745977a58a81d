// The truth of a world as tables, to be written beside its logs.
import type { LogFile, Seen } from "./mess.ts";
import type { Message } from "./messages.ts";
import { compressor, dustCollector, groups, machines, place } from "./place.ts";
import { findingsFromCuts, findingsFromSessions } from "./planted.ts";
import { runHoursByMonth } from "./sums.ts";
import { type Truth, table } from "./truth.ts";
import type { World } from "./world.ts";

export function truthFrom(world: World, told: { messages: Message[]; bounces: Uint8Array; files: LogFile[]; seen: Seen }): Truth {
  const { calendar, people, faults, deeds, use, words, start } = world;
  const { seed, until, mess, findings } = world.options;
  const { lives, meterEvents, compressorRuns } = world.worn;
  const { messages, bounces, files, seen } = told;
  const { sessions } = use;
  const { cuts } = faults;
  const outside = [
    ...compressorRuns.map((run) => ({ id: compressor.id, ...run })),
    ...words.motorOutside.map(({ machine, start: from, end }) => ({ id: machines[machine]!.id, start: from, end })),
  ];
  const planted = [...deeds.findings, ...findingsFromSessions(sessions), ...words.findings, ...findingsFromCuts(cuts)];
  planted.sort((a, b) => a.from - b.from);
  return {
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
}

const tidy = (hours: number) => Math.round(hours * 1e4) / 1e4;
