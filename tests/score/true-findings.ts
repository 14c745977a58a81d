// What each rule's definition gives on the true log: the truth that findings are scored against. See score-definitions.md.
import { machines as placeMachines } from "../../sample-logs/place.ts";
import { rowsOf, type Truth } from "../../sample-logs/truth.ts";
import { instantFromTyped, type WorkshopFile } from "../../shared/index.ts";

export interface TrueFinding {
  rule: string;
  machine: string | null;
  group: string | null;
  /** Every address that would name the place rightly. */
  stations: string[];
  badge: string | null;
  from: number;
  until: number;
  /** A flag here is not false, and its absence is no miss. */
  isOptional: boolean;
}

export interface TrueSessionRow {
  machine: number;
  station: number;
  person: number;
  badge: string;
  start: number;
  end: number;
  usualEnd: number;
  ended: string;
  motorSeconds: number;
  starts: number;
  enableSeen: number;
  releaseSeen: number;
  turn: number;
  rule: string | null;
  size: number | null;
}
export interface PlantedRow {
  rule: string;
  machine: number | null;
  group: number | null;
  address: number | null;
  badge: string | null;
  from: number;
  until: number;
  size: number | null;
}

const minute = 60;
const day = 86_400;
const text = (address: number) => String(address).padStart(3, "0");

export function trueFindings(truth: Truth, { workshop, roster }: WorkshopFile): TrueFinding[] {
  const found: TrueFinding[] = [];
  const add = (rule: string, from: number, until: number, more: Partial<TrueFinding> = {}) =>
    found.push({
      rule,
      machine: null,
      group: null,
      stations: [],
      badge: null,
      isOptional: false,
      ...more,
      from: Math.min(from, stampOf(from)),
      until,
    });
  const zone = workshop.workshop.zone;
  const seconds = (typed: string, side: "since" | "until") =>
    instantFromTyped(typed, zone, { field: side, side }).getTime() / 1000;
  const sessions = rowsOf<TrueSessionRow>(truth, "sessions");
  const planted = rowsOf<PlantedRow>(truth, "planted");
  const opening = rowsOf<{ from: number; until: number; state: "staffed" | "member" }>(truth, "opening");
  const signals = rowsOf<{ time: number; machine: number; address: number; word: string; badge: string }>(truth, "signals");
  const cuts = rowsOf<{
    kind: string;
    from: number;
    until: number;
    clock: string | null;
    clockUntil: number;
    clockReads: number;
  }>(truth, "cuts");
  const losses = rowsOf<{ machine: number; from: number; until: number }>(truth, "losses");
  const slips = rowsOf<{ machine: number; from: number; until: number; address: number }>(truth, "slips");
  const outside = rowsOf<{ machine: number; start: number; end: number; rule: string }>(truth, "motorOutside");
  /** What a clock that came back behind stamped at that time; the time itself where it was right, or plainly wrong. */
  const stampOf = (time: number) => {
    const behind = cuts.find(({ clock, until, clockUntil }) => clock === "saved" && time >= until - 10 && time < clockUntil);
    return behind === undefined ? time : behind.clockReads + (time - (behind.until - 10));
  };
  const nameOf = (machine: number) => truth.machines[machine]!;
  const kinds = new Map(workshop.machines.map((machine) => [machine.id, machine]));

  const passes = new Map<string, { person: string; from: number; until: number; machines: string[] }[]>();
  for (const { badge, person, validFrom, validUntil, machines } of roster) {
    const from = validFrom === null ? Number.NEGATIVE_INFINITY : seconds(validFrom, "since");
    const until = validUntil === null ? Number.POSITIVE_INFINITY : seconds(validUntil, "until");
    passes.set(badge, [...(passes.get(badge) ?? []), { person, from, until, machines }]);
  }
  const personOf = (badge: string) => passes.get(badge)?.[0]?.person ?? `stranger ${badge}`;
  const isListed = (badge: string) => passes.has(badge);
  const stateAt = (time: number) => opening.find(({ from, until }) => time >= from && time < until)?.state ?? "closed";

  aloneAndClosed();
  bySession();
  badgesTwice();
  bySignal();
  stations();
  byWeek();
  for (const { from, until, clock, clockUntil } of cuts) {
    if (clock === "unset" || clock === "saved") add("clock-jump", Math.min(from, until - 10), clockUntil);
  }
  for (const { machine, start, end, rule } of outside) add(rule, start, end, { machine: nameOf(machine) });
  return found.sort((a, b) => a.from - b.from);

  function aloneAndClosed(): void {
    // Between two marks nothing changes: neither who is active nor the state of the doors.
    const active = sessions.map((session) => ({ ...session, until: Math.min(session.usualEnd, session.end) }));
    const marks = [
      ...new Set([
        ...active.flatMap(({ start, until }) => [start, until]),
        ...opening.flatMap(({ from, until }) => [from, until]),
      ]),
    ];
    marks.sort((a, b) => a - b);
    const byStart = [...active].sort((a, b) => a.start - b.start);
    let next = 0;
    let running: typeof active = [];
    let closed: { from: number; until: number; alone: number; longestAlone: number; owner: string; isShared: boolean } | null =
      null;
    let hazard: { from: number; until: number; owner: string; machines: Set<string> } | null = null;
    const endClosed = () => {
      if (closed === null) return;
      if (closed.longestAlone >= 10 * minute) add("alone-closed", closed.from, closed.until);
      else if (closed.isShared) add("closed-use", closed.from, closed.until);
      closed = null;
    };
    const endHazard = () => {
      if (hazard !== null && hazard.until - hazard.from >= 30 * minute) {
        add("alone-hazard", hazard.from, hazard.until, { machine: [...hazard.machines].join(" ") });
      }
      hazard = null;
    };
    for (let index = 0; index + 1 < marks.length; index += 1) {
      const from = marks[index]!;
      const until = marks[index + 1]!;
      while (next < byStart.length && byStart[next]!.start <= from) running.push(byStart[next++]!);
      running = running.filter((session) => session.until > from);
      const people = new Set(running.map(({ badge }) => personOf(badge)));
      const state = stateAt(from);
      if (closed !== null && (state !== "closed" || from - closed.until > 5 * minute)) endClosed();
      if (state === "closed" && people.size > 0) {
        const owner = people.size === 1 ? [...people][0]! : "";
        closed ??= { from, until, alone: 0, longestAlone: 0, owner, isShared: false };
        const isOn = owner !== "" && owner === closed.owner;
        closed.alone = owner === "" ? 0 : (isOn ? closed.alone : 0) + until - from;
        closed.owner = owner;
        closed.longestAlone = Math.max(closed.longestAlone, closed.alone);
        closed.isShared ||= people.size > 1;
        closed.until = until;
      }
      const onHazard = running.filter(({ machine }) => isNeverAlone(nameOf(machine)));
      const holds = state === "member" && people.size === 1 && onHazard.length > 0;
      const owner = holds ? [...people][0]! : "";
      if (hazard !== null && ((holds && owner !== hazard.owner) || from - hazard.until > 5 * minute || people.size > 1))
        endHazard();
      if (holds) {
        hazard ??= { from, until, owner, machines: new Set() };
        for (const { machine } of onHazard) hazard.machines.add(nameOf(machine));
        hazard.until = until;
      }
    }
    endClosed();
    endHazard();
  }

  function isNeverAlone(id: string): boolean {
    const kind = kinds.get(id)!;
    return kind.alone === "never" || (kind.alone === undefined && kind.hazard === "high");
  }

  function bySession(): void {
    const spells: { from: number; until: number }[] = [];
    for (const { from, until } of opening) {
      const last = spells.at(-1);
      if (last !== undefined && last.until >= from) last.until = Math.max(last.until, until);
      else spells.push({ from, until });
    }
    for (const session of sessions) {
      const { machine, station, badge, start, end, usualEnd } = session;
      const place = { machine: nameOf(machine), stations: [text(station)], badge };
      const { minutes, sigma, group } = placeMachines[machine]!;
      const spell = spells.find(({ from, until }) => start >= from && start < until);
      const isLeftIn = spell !== undefined && end > spell.until + 30 * minute;
      if (isLeftIn) add("left-in", Math.min(usualEnd, spell.until), end, place);
      // 3.72 standard deviations of the logarithm: one ordinary session in ten thousand is longer.
      const isLong = Math.log((usualEnd - start) / (minutes * minute)) / sigma >= 3.72;
      if (isLong && !isLeftIn) add("long-session", start, end, place);
      const pass = passes.get(badge)?.find(({ from, until }) => start >= from && start < until);
      if (!isListed(badge)) continue;
      const mayUse =
        pass !== undefined &&
        (pass.machines.length === 0 || pass.machines.includes(group) || pass.machines.includes(place.machine));
      // Under another machine's address nobody can tell which of the two it was.
      const isMuddled = slips.some((slip) => slip.machine === machine && start >= slip.from && start < slip.until);
      if (!mayUse) add("not-authorised", start, end, { ...place, isOptional: isMuddled });
    }
    for (const machine of workshop.machines) {
      for (const { from, until } of machine.outages) {
        const outFrom = seconds(from, "since");
        const outUntil = until === undefined ? Number.POSITIVE_INFINITY : seconds(until, "until");
        for (const { machine: index, station, start, end, badge } of sessions) {
          if (nameOf(index) !== machine.id || end <= outFrom || start >= outUntil) continue;
          add("enabled-while-out", start, end, { machine: machine.id, stations: [text(station)], badge });
        }
      }
    }
  }

  function badgesTwice(): void {
    const byBadge = new Map<string, TrueSessionRow[]>();
    for (const session of sessions) byBadge.set(session.badge, [...(byBadge.get(session.badge) ?? []), session]);
    for (const [badge, list] of byBadge) {
      list.forEach((session, index) => {
        for (const other of list.slice(index + 1, index + 4)) {
          if (other.start >= session.end || other.station === session.station) continue;
          add("badge-twice", other.start, Math.min(session.end, other.end), {
            badge,
            stations: [text(session.station), text(other.station)],
          });
        }
      });
    }
  }

  function bySignal(): void {
    const refusals = new Map<number, typeof signals>();
    for (const signal of signals)
      if (signal.word === "refuse") refusals.set(signal.address, [...(refusals.get(signal.address) ?? []), signal]);
    for (const [address, list] of refusals) {
      for (let first = 0; first < list.length; ) {
        let last = first;
        while (last + 1 < list.length && list[last + 1]!.time - list[last]!.time <= 2 * minute) last += 1;
        const count = last - first + 1;
        if (count >= 3)
          add("refusal-run", list[first]!.time, list[last]!.time + 1, {
            stations: [text(address)],
            badge: list[first]!.badge,
            isOptional: count === 3,
          });
        first = last + 1;
      }
    }
    const strangers = [
      ...signals
        .filter(({ badge }) => badge !== "")
        .map(({ badge, time, address }) => ({ badge, from: time, until: time + 1, address })),
      ...sessions.map(({ badge, start, end, station }) => ({ badge, from: start, until: end, address: station })),
    ].filter(({ badge }) => !isListed(badge));
    for (const { badge, from, until, address } of strangers)
      add("unlisted-badge", from, until, { badge, stations: [text(address)] });
    for (const { time, machine, address, word, badge } of signals) {
      if (word !== "change" || (stateAt(time) !== "closed" && isListed(badge))) continue;
      add("settings-change", time, time + 1, {
        stations: [text(address)],
        badge,
        ...(machine >= 0 ? { machine: nameOf(machine) } : {}),
      });
    }
  }

  function stations(): void {
    const claimed = new Set(workshop.machines.flatMap(({ stations: spans }) => (spans ?? []).map(({ station }) => station)));
    const ofPlan = (rule: string) => planted.filter((item) => item.rule === rule);
    for (const { from, until, address } of ofPlan("unlisted-station"))
      add("unlisted-station", from, until, { stations: [text(address!)] });
    for (const { from, until, address, machine } of ofPlan("silent-station")) {
      add("silent-station", from, until, { stations: [text(address!)], machine: nameOf(machine!) });
    }
    for (const { machine, from, until } of losses) {
      if (until - from < 4 * 3600) continue;
      add("silent-station", from, until, { machine: nameOf(machine), stations: addressesOf(machine), isOptional: true });
    }
    for (const { machine, from, until, address } of slips) {
      const own = addressesOf(machine);
      const rule = claimed.has(text(address)) ? "address-clash" : "address-slip";
      add(rule, from, until, { machine: nameOf(machine), stations: [text(address), ...own] });
      add("silent-station", from, until, { machine: nameOf(machine), stations: own, isOptional: true });
      if (rule === "address-slip") add("unlisted-station", from, until, { stations: [text(address)], isOptional: true });
    }
  }

  function addressesOf(machine: number): string[] {
    const spans = kinds.get(nameOf(machine))?.stations ?? [];
    return spans.map(({ station }) => station);
  }

  function byWeek(): void {
    const monday = opening.length === 0 ? 0 : firstMonday(Math.min(...opening.map(({ from }) => from)), zone);
    const weekOf = (time: number) => Math.floor((time - monday) / (7 * day));
    for (const [rule, isBad] of [
      [
        "missing-end",
        ({ enableSeen, releaseSeen, ended }: TrueSessionRow) => enableSeen === 1 && releaseSeen === 0 && ended === "released",
      ],
      ["chatter", ({ starts }: TrueSessionRow) => starts > 1],
    ] as const) {
      const cells = new Map<string, { machine: number; station: number; week: number; bad: number; all: number }>();
      for (const session of sessions) {
        const key = `${session.station} ${weekOf(session.start)}`;
        const cell = cells.get(key) ?? {
          machine: session.machine,
          station: session.station,
          week: weekOf(session.start),
          bad: 0,
          all: 0,
        };
        cell.all += 1;
        if (isBad(session)) cell.bad += 1;
        cells.set(key, cell);
      }
      const list = [...cells.values()];
      const rate = list.reduce((sum, { bad }) => sum + bad, 0) / Math.max(1, sessions.length);
      for (const { machine, station, week, bad, all } of list) {
        const tail = poissonTail(bad, rate * all);
        if (bad < 2 || tail > 1e-2) continue;
        const from = monday + week * 7 * day;
        add(rule, from, from + 7 * day, { machine: nameOf(machine), stations: [text(station)], isOptional: tail > 1e-4 });
      }
    }
    for (const { from, until, group } of planted.filter(({ rule }) => rule === "off-trend-use")) {
      add("off-trend-use", from, until, { group: truth.groups[group!]! });
    }
    // Between the years little goes on; a flag there is neither right nor wrong.
    const years = [...new Set(opening.map(({ from }) => new Date(from * 1000).getUTCFullYear()))];
    for (const year of years) {
      for (const group of truth.groups) {
        const from = Date.UTC(year, 11, 18) / 1000;
        add("off-trend-use", from, from + 19 * day, { group, isOptional: true });
      }
    }
  }
}

/** P(X ≥ count) of a Poisson count. */
export function poissonTail(count: number, mean: number): number {
  let below = 0;
  let term = Math.exp(-mean);
  for (let index = 0; index < count; index += 1) {
    below += term;
    term *= mean / (index + 1);
  }
  return Math.max(0, 1 - below);
}

function firstMonday(time: number, zone: string): number {
  // The week's beginning to the hour is enough here: weeks of stations are matched by overlap.
  const noon = new Date(time * 1000);
  const weekday = (noon.getUTCDay() + 6) % 7;
  const date = new Date(noon.getTime() - weekday * day * 1000).toISOString().slice(0, 10);
  return instantFromTyped(date, zone, { field: "since", side: "since" }).getTime() / 1000;
}

/** Same rule, same place, times overlap. A finding may name its place by machine, station, badge or group; one right name is enough. */
export function isSame(
  flag: {
    rule: string;
    machine: string | null;
    group: string | null;
    station: string | null;
    badge: string | null;
    from: number;
    until: number;
  },
  truth: TrueFinding,
): boolean {
  if (flag.rule !== truth.rule || flag.from > truth.until || flag.until < truth.from) return false;
  const isNamed = truth.machine !== null || truth.group !== null || truth.badge !== null || truth.stations.length > 0;
  if (!isNamed) return true;
  return (
    (flag.machine !== null && (truth.machine ?? "").split(" ").includes(flag.machine)) ||
    (flag.group !== null && flag.group === truth.group) ||
    (flag.station !== null && truth.stations.includes(flag.station)) ||
    (flag.badge !== null && flag.badge === truth.badge) ||
    (flag.machine === null && flag.group === null && flag.station === null && flag.badge === null)
  );
}
