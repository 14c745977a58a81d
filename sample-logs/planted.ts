// Findings put in on purpose, at stated sizes: some as deeds of people (before the walk through time), some as words of stations (after it).
import type { Calendar, Spell } from "./calendar.ts";
import type { OddWeek } from "./demand.ts";
import type { Cut, RadioLoss } from "./faults.ts";
import type { BadWeek, Message, Slip, Word } from "./messages.ts";
import type { Person } from "./people.ts";
import { badgeAt } from "./people.ts";
import { groups, isNeverAlone, machines } from "./place.ts";
import type { Chance } from "./random.ts";
import { emptyPlan, type Forced, type Plan, type TrueSession } from "./use.ts";

/** One finding put in on purpose; `size` in the unit that fits the rule (minutes, times the norm, refusals, share, factor, hours). */
export interface PlantedFinding {
  rule: string;
  machine: number | null;
  group: number | null;
  address: number | null;
  badge: string | null;
  from: number;
  until: number;
  size: number | null;
}

export interface Deeds {
  plan: Plan;
  oddWeeks: OddWeek[];
  /** Stretches in which nobody else comes. */
  quiet: Spell[];
  /** Findings that are certain before anybody moves. */
  findings: PlantedFinding[];
}
export interface Words {
  chatter: BadWeek[];
  missing: BadWeek[];
  slips: Slip[];
  silent: RadioLoss[];
  extra: Omit<Message, "sequence">[];
  motorOutside: { machine: number; start: number; end: number; rule: string }[];
  findings: PlantedFinding[];
}

const minute = 60;
const hour = 3600;
const day = 86_400;
/** Addresses that no machine claims; strangers' badges, beyond the numbers that members get. */
const benchAddresses = [60, 61, 62];
const strangerBadge = (chance: Chance) => String(chance.whole(70_000, 79_999)).padStart(6, "0");

/** Somebody turns a bowl through each change of the clocks, so that both kinds always have a session across them. */
export function longNights(calendar: Calendar): Forced[] {
  const machine = machineOf("wood-lathe-1");
  return calendar.changes.map(({ time }) => ({
    time: time - 20 * minute,
    machine,
    seconds: 45 * minute,
    rule: null,
    size: null,
  }));
}

export const noDeeds = (): Deeds => ({ plan: emptyPlan(), oddWeeks: [], quiet: [], findings: [] });
export const noWords = (): Words => ({
  chatter: [],
  missing: [],
  slips: [],
  silent: [],
  extra: [],
  motorOutside: [],
  findings: [],
});

const machineOf = (id: string) => {
  const found = machines.findIndex((machine) => machine.id === id);
  if (found < 0) throw new RangeError(`machine ${JSON.stringify(id)}: expected one of the place's`);
  return found;
};
const ordinary = machines.flatMap((machine, index) => (machine.group === "kiln" ? [] : [index]));
const hazardous = machines.flatMap((machine, index) => (isNeverAlone(machine) ? [index] : []));
const calm = ordinary.filter((index) => !hazardous.includes(index));
const instrumented = machines.flatMap(({ burst }, index) => (burst === undefined ? [] : [index]));
const busy = ["table-saw-1", "band-saw-1", "drill-press-1", "laser", "drum-sander"].map(machineOf);

/** How many of each: twenty in two years where that makes sense. */
const share = (count: number, years: number) => Math.max(1, Math.round((count * years) / 2));

/** The sizes in turn, as many as wanted. */
const sized = <T>(count: number, sizes: readonly number[], make: (size: number) => T): T[] =>
  Array.from({ length: count }, (_, index) => make(sizes[index % sizes.length]!));

export function deedsFrom(calendar: Calendar, chance: Chance, years: number): Deeds {
  const deeds = noDeeds();
  const { plan } = deeds;
  const anyTime = () => Math.floor(chance.between(calendar.from + 3 * day, calendar.until - 12 * day));

  const nights = chance.some(nightsOf(calendar), Number.POSITIVE_INFINITY);
  const nextNight = (seconds: number): number | null => {
    const night = nights.pop();
    return night === undefined ? null : Math.floor(chance.between(night.from + 50 * minute, night.until - seconds - 50 * minute));
  };
  const atNight = (rule: string, size: number, on: number[]) => {
    const time = nextNight(size * minute);
    if (time === null) return;
    on.forEach((machine, index) => {
      plan.forced.push({ time: time + index * 20, machine, seconds: size * minute - index * 40, rule, size });
    });
  };
  sized(share(20, years), [15, 45, 120], (size) => atNight("alone-closed", size, [chance.pick(ordinary)]));
  sized(share(20, years), [15, 45, 120], (size) => atNight("closed-use", size, chance.some(ordinary, 2)));

  // Alone on a machine that nobody should be alone on: first in the morning, before anybody else has come.
  const mornings = chance.some(
    calendar.spells.filter(({ from, until }) => calendar.stateAt(from) === "member" && until - from > 6 * hour),
    share(20, years),
  );
  mornings.forEach(({ from }, index) => {
    const size = [35, 50, 90][index % 3]!;
    const time = from + chance.whole(5, 20) * minute;
    plan.forced.push({ time, machine: chance.pick(hazardous), seconds: size * minute, rule: "alone-hazard", size });
    deeds.quiet.push({ from, until: time + (size + 2) * minute });
  });

  plan.long.push(...sized(share(21, years), [3, 5, 10], (size) => ({ after: anyTime(), machine: chance.pick(calm), size })));
  plan.leftIn.push(
    ...sized(share(20, years), [1, 4, 12], (size) => ({ after: anyTime(), machine: chance.pick(ordinary), size })),
  );
  plan.unauthorised.push(
    ...sized(share(20, years), [1], () => ({ after: anyTime(), group: chance.whole(0, groups.length - 2) })),
  );
  plan.twice.push(...sized(share(20, years), [1], () => ({ after: anyTime() })));

  // A stranger's badge that a station still lets in, while the doors are open.
  for (let count = share(10, years); count > 0; count -= 1) {
    const { from, until } = chance.pick(calendar.stretches.filter(({ state }) => state === "staffed"));
    const time = Math.floor(chance.between(from + 300, until - 2400));
    const badge = strangerBadge(chance);
    plan.forced.push({
      time,
      machine: chance.pick(calm),
      seconds: chance.whole(6, 20) * minute,
      rule: "unlisted-badge",
      size: 1,
      badge,
      person: -1,
    });
  }

  // Sent away for repair by night; in the middle of it somebody enables it all the same.
  const long = nightsOf(calendar).filter(({ from }) => from > calendar.from + 5 * day && from < calendar.until - 12 * day);
  chance.some(long, share(6, years)).forEach(({ from }, index) => {
    const machine = calm[(index * 3 + 1) % calm.length]!;
    const until = from + 5 * day;
    plan.outages.push({ machine, from: from + hour, until, reason: "away for repair" });
    const inside = calendar.stretches.filter(
      (stretch) => stretch.state === "staffed" && stretch.from > from + day && stretch.until < until,
    );
    if (inside.length === 0) return;
    const open = chance.pick(inside);
    const size = [3, 10, 30][index % 3]!;
    const time = open.from + chance.whole(20, 120) * minute;
    plan.forced.push({ time, machine, seconds: size * minute, rule: "enabled-while-out", size, evenOut: true });
  });

  const oddGroups = ["table-saw", "band-saw", "laser", "drill-press", "sander"].map((id) =>
    groups.findIndex((group) => group.id === id),
  );
  const weeks = chance.some(weeksOf(calendar).slice(4, -1), share(12, years));
  weeks.forEach(({ from, until }, index) => {
    const factor = [0.15, 2, 3.5][index % 3]!;
    const group = oddGroups[index % oddGroups.length]!;
    deeds.oddWeeks.push({ group, from, until, factor });
    deeds.findings.push({ rule: "off-trend-use", machine: null, group, address: null, badge: null, from, until, size: factor });
  });
  return deeds;
}

/** What the stations say that they should not, fitted around what truly happened. */
export function wordsFrom(world: {
  calendar: Calendar;
  chance: Chance;
  years: number;
  sessions: TrueSession[];
  people: Person[];
  cuts: Cut[];
}): Words {
  const { calendar, chance, years, sessions, people, cuts } = world;
  const words = noWords();
  const { findings } = words;
  const sessionsOf = machines.map((_, machine) => sessions.filter((session) => session.machine === machine));
  const all = weeksOf(calendar).slice(1, -1);
  const addressOf = (machine: number) => machines[machine]!.address;
  const isUsed = (machine: number, from: number, until: number) =>
    sessionsOf[machine]!.some((session) => session.start < until && session.end > from);
  const isDark = (machine: number, from: number, until: number) =>
    cuts.some((cut) => cut.machines.includes(machine) && cut.from < until && Math.max(cut.until, cut.clockUntil) > from);
  const finding = (rule: string, from: number, until: number, more: Partial<PlantedFinding>) =>
    findings.push({ rule, machine: null, group: null, address: null, badge: null, size: null, ...more, from, until });
  const say = (time: number, machine: number, address: number, word: Word, badge = "", detail = "") =>
    words.extra.push({ time, machine, address, word, badge, detail, session: -1 });
  /** A moment at which the machine is idle and has power for as long as is needed. */
  const idle = (machine: number, seconds: number, stretches: readonly Spell[]): number | null => {
    for (let attempt = 0; attempt < 60; attempt += 1) {
      const { from, until } = chance.pick(stretches);
      if (until - from < seconds + 1200) continue;
      const time = Math.floor(chance.between(from + 600, until - seconds - 600));
      if (!isUsed(machine, time - 120, time + seconds + 120) && !isDark(machine, time - 600, time + seconds)) return time;
    }
    return null;
  };

  /** The address under which a machine's sessions run at that time. */
  const addressNow = (machine: number, time: number): number => {
    const own = sessionsOf[machine]!;
    return (own.find(({ start }) => start >= time) ?? own.at(-1))?.address ?? machines[machine]!.address;
  };

  // Each machine gets at most one long trouble, so that none hides another.
  const free = chance.some(
    calm.filter((machine) => !["band-saw-2", "laser", "drill-press-2", "wood-lathe-2"].includes(machines[machine]!.id)),
    share(4, years),
  );
  for (const machine of free) {
    const days = chance.whole(5, 11);
    const from = Math.floor(chance.between(calendar.from + 20 * day, calendar.until - 30 * day));
    words.silent.push({ machine, from, until: from + days * day, isKept: false });
    finding("silent-station", from, from + days * day, { machine, address: addressOf(machine), size: days });
  }
  const slips = [
    ["laser", 50, "address-slip"],
    ["mill", 32, "address-slip"],
    ["wood-lathe-2", 12, "address-clash"],
    ["drill-press-2", 34, "address-clash"],
  ] as const;
  slips.forEach(([id, address, rule], index) => {
    const machine = machineOf(id);
    const quarter = (calendar.until - calendar.from) / slips.length;
    const from = Math.floor(calendar.from + quarter * (index + chance.between(0.15, 0.6)));
    const until = Math.min(from + 14 * day, calendar.until - day);
    words.slips.push({ machine, from, until, share: 1, address });
    finding(rule, from, until, { machine, address, size: 14 });
  });

  chance.some(all, share(10, years)).forEach(({ from, until }, index) => {
    const size = [0.3, 0.5, 0.8][index % 3]!;
    const machine = busy[index % busy.length]!;
    words.missing.push({ machine, from, until, share: size });
    finding("missing-end", from, until, { machine, address: addressOf(machine), size });
  });
  chance.some(all, share(10, years)).forEach(({ from, until }, index) => {
    const size = [0.2, 0.4, 0.7][index % 3]!;
    const machine = busy[(index + 2) % busy.length]!;
    words.chatter.push({ machine, from, until, share: size });
    finding("chatter", from, until, { machine, address: addressOf(machine), size });
  });

  for (const size of sized(share(20, years), [4, 8, 15], (count) => count)) {
    const machine = chance.pick(ordinary);
    const time = idle(machine, size * 15, calendar.spells);
    const who = people.filter(
      (person) => person.role === "member" && person.groups.length > 0 && !person.groups.includes(machines[machine]!.group),
    );
    if (time === null || who.length === 0) continue;
    const badge = badgeAt(chance.pick(who), time);
    if (badge === null) continue;
    let at = time;
    for (let count = 0; count < size; count += 1) {
      say(at, machine, addressNow(machine, at), "refuse", badge);
      at += chance.whole(4, 14);
    }
    finding("refusal-run", time, at, { machine, address: addressNow(machine, time), badge, size });
  }
  for (let count = share(10, years); count > 0; count -= 1) {
    const machine = chance.pick(ordinary);
    const time = idle(machine, 60, calendar.spells);
    if (time === null) continue;
    const badge = strangerBadge(chance);
    const address = addressNow(machine, time);
    say(time, machine, address, "refuse", badge);
    finding("unlisted-badge", time, time + 1, { machine, address, badge, size: 1 });
  }
  for (const address of benchAddresses.slice(0, Math.max(1, Math.round(benchAddresses.length * Math.min(1, years / 2))))) {
    const from = Math.floor(chance.between(calendar.from + 10 * day, calendar.until - 10 * day));
    const until = from + chance.whole(6, 60) * hour;
    say(from, -1, address, "boot", "", "power");
    for (let time = from + hour; time < until; time += hour) say(time, -1, address, "alive");
    say(until - 600, -1, address, "refuse", badgeAt(people[1]!, until) ?? "");
    finding("unlisted-station", from, until, { address });
  }
  const nights = nightsOf(calendar);
  for (let count = 0; count < share(12, years); count += 1) {
    const isStranger = count % 2 === 1;
    const machine = chance.pick(ordinary);
    const time = idle(machine, 60, isStranger ? calendar.spells : nights);
    if (time === null) continue;
    const badge = isStranger ? strangerBadge(chance) : badgeAt(people[chance.whole(0, 4)]!, time)!;
    const address = addressNow(machine, time);
    say(time, machine, address, "change", badge, `limit 45 -> ${chance.pick([180, 240])}`);
    finding("settings-change", time, time + 1, { machine, address, badge });
    if (isStranger) finding("unlisted-badge", time, time + 1, { machine, address, badge, size: 1 });
  }

  // Hardware in earnest. A motor that turns though nobody enabled it; one that starts again by itself when the power is back.
  const turns = (machine: number, start: number, end: number, rule: string) => {
    const address = addressNow(machine, start);
    say(start, machine, address, "motor-on");
    say(end, machine, address, "motor-off");
    words.motorOutside.push({ machine, start, end, rule });
    finding(rule, start, end, { machine, address, size: (end - start) / minute });
  };
  for (const size of sized(share(6, years), [1, 5, 20], (minutes) => minutes)) {
    const machine = chance.pick(instrumented);
    const time = idle(machine, size * minute, chance.happens(0.5) ? nights : calendar.spells);
    if (time !== null) turns(machine, time, time + size * minute, "motor-without-session");
  }
  let restarts = share(3, years);
  for (const cut of cuts) {
    if (restarts === 0) break;
    const machine = instrumented[restarts % instrumented.length]!;
    if (cut.kind !== "power" || !cut.machines.includes(machine) || isUsed(machine, cut.until - 10, cut.until + 900)) continue;
    const start = cut.until + chance.whole(2, 6);
    turns(machine, start, start + chance.whole(1, 6) * minute, "restart-after-power");
    restarts -= 1;
  }
  return words;
}

/** Closed stretches of at least six hours. */
function nightsOf({ spells }: Calendar): Spell[] {
  return spells.slice(1).flatMap((spell, index) => {
    const before = spells[index]!;
    return spell.from - before.until >= 6 * hour ? [{ from: before.until, until: spell.from }] : [];
  });
}

/** Whole local weeks, Monday to Monday. */
function weeksOf({ days, until }: Calendar): Spell[] {
  const mondays = days.filter(({ weekday }) => weekday === 0);
  return mondays.map(({ from }, index) => ({ from, until: mondays[index + 1]?.from ?? until }));
}

/** Findings from what people truly did: sessions that were forced or bent. Two of one night's closed use are one finding. */
export function findingsFromSessions(sessions: TrueSession[]): PlantedFinding[] {
  const found: PlantedFinding[] = [];
  for (const { rule, machine, address, badge, start, usualEnd, end, size } of sessions) {
    if (rule === null || rule === "test-run") continue;
    const from = rule === "left-in" ? usualEnd : start;
    const before = found.at(-1);
    if (rule === "closed-use" && before?.rule === rule && before.from > start - 600) continue;
    found.push({ rule, machine, group: null, address, badge, from, until: end, size });
  }
  return found;
}

/** Every clock that came back wrong. */
export const findingsFromCuts = (cuts: Cut[]): PlantedFinding[] =>
  cuts
    .filter(({ clock }) => clock === "unset" || clock === "saved")
    .map(({ until, clockUntil, clockReads }) => ({
      rule: "clock-jump",
      machine: null,
      group: null,
      address: null,
      badge: null,
      from: until - 10,
      until: clockUntil,
      size: Math.round((until - clockReads) / minute),
    }));
