// What truly happened on the floor: wishes become turns, turns become sessions, sessions let a motor turn.
// One walk through time. Somebody waits, somebody leaves, the power fails, a part breaks, the doors close.
import type { Calendar, Spell } from "./calendar.ts";
import type { Wish } from "./demand.ts";
import type { Cut } from "./faults.ts";
import { newAgenda } from "./heap.ts";
import { badgeAt, mayUse, type Person } from "./people.ts";
import { groups, isNeverAlone, type Machine, movedStation } from "./place.ts";
import { type Chance, chanceFrom } from "./random.ts";
import type { Wear } from "./wear.ts";

export interface TrueSession {
  machine: number;
  address: number;
  /** Index of the person, or -1 where the badge was in two places and nobody knows who held the other. */
  person: number;
  badge: string;
  start: number;
  end: number;
  /** When the person was done; earlier than `end` only where the badge stayed in the holder. */
  usualEnd: number;
  ended: "released" | "power" | "boot";
  motorSeconds: number;
  /** On and off times in turn, where a current sensor sees the motor. */
  bursts: number[];
  /** Running number of the turn, or -1 for a maintainer's test run and what was planted. */
  turn: number;
  rule: string | null;
  size: number | null;
}

/** What became of a wish. */
export const outcomes = [
  "served",
  "served-after-wait",
  "left-after-wait",
  "left-at-once",
  "went-to-similar",
  "out-of-order",
  "closing",
] as const;
export type Outcome = (typeof outcomes)[number];

export interface WishTold {
  time: number;
  group: number;
  person: number;
  outcome: Outcome;
  waitSeconds: number;
  turn: number;
}
export interface Down {
  machine: number;
  from: number;
  until: number;
  reason: string;
}
export interface Visit {
  person: number;
  from: number;
  until: number;
}

/** A session that happens whatever the wishes are. */
export interface Forced {
  time: number;
  machine: number;
  seconds: number;
  rule: string | null;
  size: number | null;
  /** Badge and person where they are given; else somebody who may use the machine. */
  badge?: string;
  person?: number;
  /** Also while the machine is out of order. */
  evenOut?: boolean;
}
/** Changes to sessions that would have happened anyway, each used up by the first that fits. */
export interface Bend {
  after: number;
  machine: number;
  size: number;
}
export interface Plan {
  forced: Forced[];
  long: Bend[];
  leftIn: Bend[];
  unauthorised: { after: number; group: number }[];
  twice: { after: number }[];
  /** Machines that are away; each begins and ends while nobody is about. */
  outages: Down[];
}
export const emptyPlan = (): Plan => ({ forced: [], long: [], leftIn: [], unauthorised: [], twice: [], outages: [] });

export interface Use {
  sessions: TrueSession[];
  wishes: WishTold[];
  downs: Down[];
  visits: Visit[];
  turns: number;
}

interface Turn {
  id: number;
  /** Its own chance, so that the same wish brings the same work whatever else happens. */
  work: Chance;
  person: number;
  machine: number;
  left: number;
}
interface Waiter {
  person: number;
  work: Chance;
  told: WishTold;
  since: number;
}
interface Unit {
  session: TrueSession | null;
  turn: Turn | null;
  outFrom: number;
  outUntil: number;
  /** Nobody gets a badge into a holder in no time. */
  freeFrom: number;
}
type Happening =
  | { kind: "wish"; wish: Wish }
  | { kind: "give-up"; waiter: Waiter; outcome: Outcome }
  | { kind: "stop"; session: TrueSession }
  | { kind: "again"; turn: Turn }
  | { kind: "cut"; cut: Cut }
  | { kind: "power"; cut: Cut }
  | { kind: "care" }
  | { kind: "forced"; forced: Forced }
  | { kind: "away"; down: Down }
  | { kind: "alone"; token: number };

const minute = 60;
const handOver = 15 * minute;
const handIn = 20;
const aloneLimit = 20 * minute;
/** Time kept free before locking up: nobody starts afresh in it. */
const lastStart = 10 * minute;

export function simulateUse(world: {
  calendar: Calendar;
  people: Person[];
  machines: Machine[];
  wishes: Wish[];
  cuts: Cut[];
  careTimes: number[];
  wear: Wear;
  plan: Plan;
  chance: Chance;
}): Use {
  const { calendar, people, machines, wear, chance } = world;
  const plan: Plan = {
    forced: world.plan.forced,
    long: [...world.plan.long],
    leftIn: [...world.plan.leftIn],
    unauthorised: [...world.plan.unauthorised],
    twice: [...world.plan.twice],
    outages: world.plan.outages,
  };
  const agenda = newAgenda<Happening>();
  const sessions: TrueSession[] = [];
  const told: WishTold[] = [];
  const downs: Down[] = [];
  const visits: Visit[] = [];
  const units: Unit[] = machines.map(() => ({ session: null, turn: null, outFrom: 0, outUntil: 0, freeFrom: 0 }));
  const unitsOf = groups.map(({ id }) => machines.flatMap(({ group }, index) => (group === id ? [index] : [])));
  const groupOf = machines.map(({ group }) => groups.findIndex(({ id }) => id === group));
  const waiting: Waiter[][] = groups.map(() => []);
  const moveTime = calendar.days[Math.floor(calendar.days.length * movedStation.afterShare)]!.from;
  const isBusy = new Uint8Array(people.length);
  const freeAgain = new Float64Array(people.length);
  const lastSeen: { person: number; time: number }[] = [];
  const visitOf: (Visit | undefined)[] = new Array(people.length);
  const active = new Map<string, number>();
  const alone = { owner: "", since: 0, lastEnd: 0, isRunning: false, token: 0 };
  const chooser = groups.map(({ id }) => {
    const who = people.flatMap((person, index) => (person.role === "member" && mayUse(person, id) ? [index] : []));
    let sum = 0;
    return { who, sums: who.map((index) => (sum += people[index]!.weight)) };
  });
  let turnCount = 0;

  for (const wish of world.wishes) agenda.put(wish.time, { kind: "wish", wish });
  for (const cut of world.cuts) {
    agenda.put(cut.from, { kind: "cut", cut });
    agenda.put(cut.until, { kind: "power", cut });
  }
  for (const time of world.careTimes) agenda.put(time, { kind: "care" });
  for (const down of plan.outages) agenda.put(down.from, { kind: "away", down });
  for (const forced of plan.forced) agenda.put(forced.time, { kind: "forced", forced });

  for (let next = agenda.next(); next !== null && next.time < calendar.until; next = agenda.next()) {
    const { time, item } = next;
    if (item.kind === "wish") wishComes(time, item.wish);
    else if (item.kind === "stop") sessionStops(time, item.session);
    else if (item.kind === "again") turnGoesOn(time, item.turn);
    else if (item.kind === "give-up") waiterLeaves(time, item.waiter, item.outcome);
    else if (item.kind === "cut") powerFails(time, item.cut);
    else if (item.kind === "power") for (const machine of item.cut.machines) serveNext(time, machine);
    else if (item.kind === "forced") forcedStarts(time, item.forced);
    else if (item.kind === "away") goesAway(time, item.down);
    else if (item.kind === "alone") aloneTooLong(time, item.token);
    else careRound(time);
  }
  // What still runs at the end of the span stays open there.
  for (const unit of units) {
    if (unit.session !== null) {
      unit.session.end = Math.min(unit.session.end, calendar.until);
      unit.session.usualEnd = Math.min(unit.session.usualEnd, calendar.until);
    }
  }
  for (const down of downs) if (down.until > calendar.until) down.until = calendar.until;
  sessions.sort((a, b) => a.start - b.start || a.machine - b.machine);
  visits.sort((a, b) => a.from - b.from || a.person - b.person);
  return { sessions, wishes: told, downs, visits, turns: turnCount };

  function isOut(unit: Unit, time: number): boolean {
    return time >= unit.outFrom && time < unit.outUntil;
  }

  function addressOf(machine: number, time: number): number {
    const { id, address } = machines[machine]!;
    return id === movedStation.machine && time >= moveTime ? movedStation.address : address;
  }

  function personFor(group: number, time: number, chance: Chance): number {
    // Somebody who is about already is likelier to want the next machine than somebody at home.
    if (chance.happens(0.5)) {
      for (let index = lastSeen.length - 1; index >= 0 && time - lastSeen[index]!.time < 40 * minute; index -= 1) {
        const { person } = lastSeen[index]!;
        if (isFree(person, time) && mayUse(people[person]!, groups[group]!.id) && chance.happens(0.6)) return person;
      }
    }
    const { who, sums } = chooser[group]!;
    for (let attempt = 0; attempt < 40; attempt += 1) {
      const mark = chance.uniform() * (sums.at(-1) ?? 0);
      let low = 0;
      let high = sums.length - 1;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (sums[middle]! > mark) high = middle;
        else low = middle + 1;
      }
      const person = who[low];
      if (person !== undefined && isFree(person, time)) return person;
    }
    return -1;
  }

  function isFree(person: number, time: number): boolean {
    return isBusy[person] === 0 && time >= freeAgain[person]! && badgeAt(people[person]!, time) !== null;
  }

  function isPresent(person: number, time: number, until: number): void {
    const visit = visitOf[person];
    if (visit !== undefined && time - visit.until < 90 * minute) visit.until = Math.max(visit.until, until);
    else {
      const spell = calendar.spellAt(time);
      const from = Math.max(spell?.from ?? time - 10 * minute, time - chance.whole(60, 600));
      const begun = { person, from, until };
      visitOf[person] = begun;
      visits.push(begun);
    }
  }

  function freeUnit(group: number, time: number, chance: Chance): number {
    const free = unitsOf[group]!.filter((machine) => {
      const unit = units[machine]!;
      return unit.session === null && unit.turn === null && time >= unit.freeFrom && !isOut(unit, time);
    });
    if (free.length > 1 && chance.happens(0.15)) return chance.pick(free);
    return free[0] ?? -1;
  }

  function wishComes(time: number, { group, luck }: Wish): void {
    const mind = chanceFrom(luck, "mind");
    const work = chanceFrom(luck, "work");
    const [goesElsewhere, leaves, patient] = [mind.uniform(), mind.uniform(), mind.exponential(20 * minute)];
    const spell = calendar.spellAt(time);
    if (spell === null) return;
    const pending = plan.unauthorised.findIndex((item) => item.group === group && time >= item.after);
    if (pending >= 0 && unauthorisedComes(time, group, spell)) {
      plan.unauthorised.splice(pending, 1);
      return;
    }
    const person = personFor(group, time, mind);
    if (person < 0) return;
    const wish: WishTold = { time, group, person, outcome: "served", waitSeconds: 0, turn: -1 };
    told.push(wish);
    isPresent(person, time, time);
    if (spell.until - time < lastStart + 5 * minute) {
      wish.outcome = "closing";
      return;
    }
    const machine = freeUnit(group, time, mind);
    if (machine >= 0) {
      wish.turn = turnBegins(time, machine, person, 0, work);
      return;
    }
    if (unitsOf[group]!.every((unit) => isOut(units[unit]!, time))) {
      wish.outcome = "out-of-order";
      return;
    }
    const similar = groups.findIndex(({ id }) => id === groups[group]!.similar);
    if (similar >= 0 && mayUse(people[person]!, groups[similar]!.id) && goesElsewhere < 0.15) {
      const other = freeUnit(similar, time, mind);
      if (other >= 0) {
        wish.outcome = "went-to-similar";
        wish.turn = turnBegins(time, other, person, 0, work);
        return;
      }
    }
    if (leaves < 0.3) {
      wish.outcome = "left-at-once";
      return;
    }
    const waiter: Waiter = { person, work, told: wish, since: time };
    const patience = time + 30 + Math.round(patient);
    const closing = spell.until - lastStart - 2 * minute;
    waiting[group]!.push(waiter);
    isBusy[person] = 1;
    agenda.put(Math.min(patience, closing), {
      kind: "give-up",
      waiter,
      outcome: patience < closing ? "left-after-wait" : "closing",
    });
  }

  // A member without the training for it (or whose badge has run out) uses the machine all the same.
  function unauthorisedComes(time: number, group: number, spell: Spell): boolean {
    const machine = freeUnit(group, time, chance);
    if (machine < 0 || spell.until - time < 3600) return false;
    const { id } = groups[group]!;
    const untrained = people.flatMap((person, index) =>
      person.role === "member" && person.groups.length > 0 && !mayUse(person, id) && isFree(index, time) ? [index] : [],
    );
    const lapsed = people.flatMap((person, index) => {
      const last = person.badges.at(-1)!;
      return mayUse(person, id) && last.until !== null && last.until < time && isBusy[index] === 0 ? [index] : [];
    });
    const isLapsed = lapsed.length > 0 && chance.happens(0.3);
    if (!isLapsed && untrained.length === 0) return false;
    const person = chance.pick(isLapsed ? lapsed : untrained);
    const badge = badgeAt(people[person]!, time) ?? people[person]!.badges.at(-1)!.badge;
    begin(time, machine, person, badge, null, Math.round(chance.between(8, 40) * minute), "not-authorised", isLapsed ? 2 : 1);
    isPresent(person, time, time);
    return true;
  }

  function turnBegins(time: number, machine: number, person: number, delay: number, work: Chance): number {
    let left = 1;
    const mean = groups[groupOf[machine]!]!.sessions;
    while (left < 8 && work.happens(1 - 1 / mean)) left += 1;
    const turn: Turn = { id: turnCount, work, person, machine, left };
    turnCount += 1;
    units[machine]!.turn = turn;
    isBusy[person] = 1;
    if (delay > 0) agenda.put(time + delay, { kind: "again", turn });
    else turnGoesOn(time, turn);
    return turn.id;
  }

  function turnGoesOn(time: number, turn: Turn): void {
    const unit = units[turn.machine]!;
    if (unit.turn !== turn) return;
    const badge = badgeAt(people[turn.person]!, time);
    const spell = calendar.spellAt(time);
    if (isOut(unit, time) || badge === null || spell === null || spell.until - time < lastStart) {
      turnEnds(time, turn);
      return;
    }
    turn.left -= 1;
    begin(time, turn.machine, turn.person, badge, turn, null, null, null);
  }

  function turnEnds(time: number, turn: Turn): void {
    const unit = units[turn.machine]!;
    unit.turn = null;
    isBusy[turn.person] = 0;
    freeAgain[turn.person] = Math.max(freeAgain[turn.person]!, time + 2 * handIn);
    lastSeen.push({ person: turn.person, time });
    const spell = calendar.spellAt(time);
    isPresent(turn.person, time, Math.min(time + Math.round(chance.exponential(12 * minute)), spell?.until ?? time));
    serveNext(time, turn.machine);
  }

  function serveNext(time: number, machine: number): void {
    const unit = units[machine]!;
    if (unit.turn !== null || unit.session !== null || isOut(unit, time)) return;
    const queue = waiting[groupOf[machine]!]!;
    const waiter = queue.shift();
    if (waiter === undefined) return;
    const delay = waiter.work.whole(40, 240);
    waiter.told.outcome = "served-after-wait";
    waiter.told.waitSeconds = time - waiter.since;
    waiter.told.turn = turnBegins(time, machine, waiter.person, delay, waiter.work);
  }

  function waiterLeaves(time: number, waiter: Waiter, outcome: Outcome): void {
    const queue = waiting[waiter.told.group]!;
    const place = queue.indexOf(waiter);
    if (place < 0) return;
    queue.splice(place, 1);
    waiter.told.outcome = outcome;
    waiter.told.waitSeconds = time - waiter.since;
    isBusy[waiter.person] = 0;
    isPresent(waiter.person, time, time);
  }

  function begin(
    time: number,
    machine: number,
    person: number,
    badge: string,
    turn: Turn | null,
    seconds: number | null,
    rule: string | null,
    size: number | null,
  ): void {
    const kind = machines[machine]!;
    const spell = calendar.spellAt(time);
    const luck = turn?.work ?? chance;
    const drawn = seconds ?? Math.max(25, Math.round(luck.logNormal(kind.minutes * minute, kind.sigma)));
    // Everybody packs up some minutes before the doors close; a firing that would not be done is not begun at full length.
    const limit = seconds !== null || spell === null ? Number.POSITIVE_INFINITY : spell.until - luck.whole(120, 420);
    const session: TrueSession = {
      machine,
      address: addressOf(machine, time),
      person,
      badge,
      start: time,
      end: Math.max(time + 1, Math.min(time + drawn, limit)),
      usualEnd: 0,
      ended: "released",
      motorSeconds: 0,
      bursts: [],
      turn: turn?.id ?? -1,
      rule,
      size,
    };
    session.usualEnd = session.end;
    if (turn !== null && spell !== null) bend(session, spell, kind);
    turnMotor(session, kind, chance);
    units[machine]!.session = session;
    sessions.push(session);
    if (person >= 0) isBusy[person] = 1;
    agenda.put(session.end, { kind: "stop", session });
    active.set(badge, (active.get(badge) ?? 0) + 1);
    lookWhoIsAlone(time);
    if (turn !== null && session.rule === null && session.end - time > 25 * minute) maybeTwice(time, session);
  }

  function bend(session: TrueSession, spell: Spell, kind: Machine): void {
    const { start, machine } = session;
    const long = plan.long.findIndex((item) => item.machine === machine && start >= item.after);
    if (long >= 0) {
      const { size } = plan.long[long]!;
      const seconds = Math.round(size * kind.minutes * minute);
      if (start + seconds < spell.until - lastStart) {
        plan.long.splice(long, 1);
        Object.assign(session, { end: start + seconds, usualEnd: start + seconds, rule: "long-session", size });
        return;
      }
    }
    const left = plan.leftIn.findIndex((item) => item.machine === machine && start >= item.after);
    if (left >= 0 && spell.until - start < 90 * minute) {
      const { size } = plan.leftIn[left]!;
      const next = calendar.spells[calendar.spells.indexOf(spell) + 1];
      const end = Math.min(spell.until + Math.round(size * 3600), (next?.from ?? calendar.until) - 30 * minute);
      if (end <= spell.until + 40 * minute) return;
      plan.leftIn.splice(left, 1);
      Object.assign(session, { end, rule: "left-in", size });
    }
  }

  // The same badge in a second holder while the first session runs.
  function maybeTwice(time: number, session: TrueSession): void {
    const pending = plan.twice.findIndex(({ after }) => time >= after);
    if (pending < 0) return;
    const others = machines.flatMap(({ group }, index) => (group !== machines[session.machine]!.group ? [index] : []));
    const free = others.filter((index) => {
      const unit = units[index]!;
      return unit.session === null && unit.turn === null && !isOut(unit, time) && machines[index]!.group !== "kiln";
    });
    if (free.length === 0) return;
    plan.twice.splice(pending, 1);
    const forced: Forced = {
      time: time + 4 * minute,
      machine: chance.pick(free),
      seconds: chance.whole(9, 15) * minute,
      rule: "badge-twice",
      size: null,
      badge: session.badge,
      person: -1,
    };
    agenda.put(forced.time, { kind: "forced", forced });
  }

  function forcedStarts(time: number, forced: Forced): void {
    const unit = units[forced.machine]!;
    if (unit.session !== null || unit.turn !== null || time < unit.freeFrom) return;
    if (isOut(unit, time) && forced.evenOut !== true) return;
    const person = forced.person ?? personFor(groupOf[forced.machine]!, time, chance);
    if (person < 0 && forced.badge === undefined) return;
    const badge = forced.badge ?? badgeAt(people[person]!, time);
    if (badge === null) return;
    begin(time, forced.machine, person, badge, null, forced.seconds, forced.rule, forced.size);
    if (person >= 0) isPresent(person, time, time + forced.seconds);
  }

  function sessionStops(time: number, session: TrueSession): void {
    const unit = units[session.machine]!;
    if (unit.session !== session || session.end !== time) return;
    unit.session = null;
    unit.freeFrom = time + handIn;
    const count = active.get(session.badge)! - 1;
    if (count === 0) active.delete(session.badge);
    else active.set(session.badge, count);
    lookWhoIsAlone(time);
    const { turn } = unit;
    const broken = wear.use(session.machine, session.motorSeconds / 3600, (session.end - session.start) / 3600, 1, time);
    if (broken !== null) machineBreaks(time, session.machine, broken);
    if (turn === null || turn.id !== session.turn) {
      if (session.person >= 0) isBusy[session.person] = 0;
      serveNext(time, session.machine);
      return;
    }
    const gap = Math.min(handOver - 60, 20 + Math.round((turn?.work ?? chance).exponential(4 * minute)));
    const spell = calendar.spellAt(time);
    if (
      turn.left <= 0 ||
      broken !== null ||
      session.ended !== "released" ||
      spell === null ||
      time + gap > spell.until - lastStart
    ) {
      turnEnds(time, turn);
    } else agenda.put(time + gap, { kind: "again", turn });
  }

  function machineBreaks(time: number, machine: number, reason: string): void {
    const unit = units[machine]!;
    // What breaks while it is already out of order, or as the power fails, stays out until it is repaired.
    if (!isOut(unit, time)) unit.outFrom = time;
    unit.outUntil = Number.POSITIVE_INFINITY;
    const current = downs.findLast((down) => down.machine === machine && down.until > time);
    if (current !== undefined)
      Object.assign(current, { until: Number.POSITIVE_INFINITY, reason: `${current.reason}; ${reason}` });
    else downs.push({ machine, from: time, until: Number.POSITIVE_INFINITY, reason });
    everybodyLeaves(time, machine);
  }

  function goesAway(time: number, down: Down): void {
    const unit = units[down.machine]!;
    if (unit.session !== null || unit.turn !== null || isOut(unit, time)) return;
    Object.assign(unit, { outFrom: time, outUntil: down.until });
    downs.push({ ...down });
  }

  function everybodyLeaves(time: number, machine: number): void {
    const group = groupOf[machine]!;
    if (unitsOf[group]!.some((unit) => !isOut(units[unit]!, time))) return;
    for (const waiter of [...waiting[group]!]) waiterLeaves(time, waiter, "out-of-order");
  }

  function powerFails(time: number, cut: Cut): void {
    for (const machine of cut.machines) {
      const unit = units[machine]!;
      if (unit.outUntil < cut.until) Object.assign(unit, { outFrom: time, outUntil: cut.until });
      const { session, turn } = unit;
      if (session !== null) {
        stopNow(time, session, cut.kind === "boot" ? "boot" : "power");
        sessionStops(session.end, session);
      } else if (turn !== null) turnEnds(time, turn);
    }
    for (const machine of cut.machines) everybodyLeaves(time, machine);
  }

  function stopNow(time: number, session: TrueSession, ended: TrueSession["ended"]): void {
    session.end = Math.max(time, session.start + 1);
    session.usualEnd = Math.min(session.usualEnd, session.end);
    session.ended = ended;
    clipMotor(session);
  }

  // Members know the rule: nobody stays on such a machine with nobody else about. After a while they stop and do something else.
  function lookWhoIsAlone(time: number): void {
    const owner = active.size === 1 ? (active.keys().next().value as string) : "";
    const holds =
      owner !== "" &&
      units.some(({ session }, machine) => session !== null && session.badge === owner && isNeverAlone(machines[machine]!)) &&
      calendar.stateAt(time) === "member";
    if (holds && !alone.isRunning) {
      if (owner !== alone.owner || time - alone.lastEnd > 10 * minute) alone.since = time;
      alone.owner = owner;
      alone.isRunning = true;
      alone.token += 1;
      agenda.put(Math.max(time + 30, alone.since + aloneLimit), { kind: "alone", token: alone.token });
    } else if (!holds && alone.isRunning) {
      alone.isRunning = false;
      alone.lastEnd = time;
      alone.token += 1;
    } else if (holds && owner !== alone.owner) {
      alone.owner = owner;
      alone.since = time;
      alone.token += 1;
      agenda.put(time + aloneLimit, { kind: "alone", token: alone.token });
    }
  }

  function aloneTooLong(time: number, token: number): void {
    if (token !== alone.token || !alone.isRunning || calendar.stateAt(time) !== "member") return;
    for (let machine = 0; machine < machines.length; machine += 1) {
      const { session, turn } = units[machine]!;
      if (session === null || session.badge !== alone.owner || !isNeverAlone(machines[machine]!)) continue;
      if (session.rule !== null && session.rule !== "long-session") continue;
      if (turn !== null && turn.id === session.turn) turn.left = 0;
      if (session.person >= 0) freeAgain[session.person] = time + 40 * minute;
      stopNow(time, session, "released");
      if (session.rule === "long-session") session.rule = null;
      sessionStops(session.end, session);
    }
  }

  function careRound(time: number): void {
    const isIdle = (machine: number) => units[machine]!.session === null && units[machine]!.turn === null;
    for (const { machine, isRepair, seconds } of wear.care(time, isIdle)) {
      const unit = units[machine]!;
      const at = time + seconds;
      if (isRepair) {
        unit.outUntil = at - 1;
        const down = downs.findLast((item) => item.machine === machine)!;
        down.until = at - 1;
      }
      const maintainer = chance.whole(0, 4);
      const badge = badgeAt(people[maintainer]!, at);
      if (badge === null) continue;
      const forced: Forced = {
        time: at,
        machine,
        seconds: chance.whole(60, 240),
        rule: "test-run",
        size: null,
        badge,
        person: maintainer,
      };
      agenda.put(at, { kind: "forced", forced });
    }
  }
}

// After the set-up the motor turns for a share of the time; where a sensor sees it, in bursts.
function turnMotor(session: TrueSession, kind: Machine, chance: Chance): void {
  const seconds = session.usualEnd - session.start;
  const setUp = Math.min(seconds, Math.round(chance.exponential(kind.setUp * minute)));
  if (kind.burst === undefined) {
    const share = Math.min(1, Math.max(0.05, kind.duty + 0.1 * chance.normal()));
    session.motorSeconds = Math.round((seconds - setUp) * share);
    return;
  }
  const pause = (kind.burst * (1 - kind.duty)) / kind.duty;
  let time = session.start + Math.max(2, setUp);
  while (time < session.usualEnd - 5) {
    const off = Math.min(session.usualEnd - 1, time + Math.max(5, Math.round(chance.exponential(kind.burst * minute))));
    session.bursts.push(time, off);
    time = off + Math.max(5, Math.round(chance.exponential(pause * minute)));
  }
  clipMotor(session);
}

/** Shortens the motor's time to the session's end. */
function clipMotor(session: TrueSession): void {
  const { bursts } = session;
  if (bursts.length === 0) {
    session.motorSeconds = Math.min(session.motorSeconds, Math.max(0, session.end - session.start));
    return;
  }
  let sum = 0;
  let count = 0;
  for (let index = 0; index < bursts.length; index += 2) {
    if (bursts[index]! >= session.end) break;
    bursts[index + 1] = Math.min(bursts[index + 1]!, session.end);
    sum += bursts[index + 1]! - bursts[index]!;
    count = index + 2;
  }
  bursts.length = count;
  session.motorSeconds = sum;
}
