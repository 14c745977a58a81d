// What the stations say: every true session, sign of life, boot, refusal and change as one message with the station's own counter.
import type { Calendar } from "./calendar.ts";
import type { Cut } from "./faults.ts";
import { badgeAt, mayUse, type Person } from "./people.ts";
import { machines } from "./place.ts";
import type { Chance } from "./random.ts";
import type { TrueSession } from "./use.ts";

export type Word = "enable" | "release" | "refuse" | "boot" | "alive" | "motor-on" | "motor-off" | "change";

export interface Message {
  time: number;
  /** Index of the machine whose station speaks, or -1 for a station no machine has. */
  machine: number;
  address: number;
  word: Word;
  badge: string;
  detail: string;
  /** Index of the true session it belongs to, or -1. */
  session: number;
  sequence: number;
}

/** A week in which a station's contact bounces, or in which its releases get lost. */
export interface BadWeek {
  machine: number;
  from: number;
  until: number;
  share: number;
}
/** A station that speaks under another address. */
export interface Slip extends BadWeek {
  address: number;
}

const idleEvery = 6 * 3600;
const inUseEvery = 15 * 60;

/** Messages in true time with their sequence numbers. Bounces are counted into `bounces` by session. */
export function messagesFrom(world: {
  calendar: Calendar;
  people: Person[];
  sessions: TrueSession[];
  cuts: Cut[];
  chatter: BadWeek[];
  /** Share of sessions with one bounce at any station; 0 where the contacts are clean. */
  bounceShare: number;
  slips: Slip[];
  extra: Omit<Message, "sequence">[];
  refusalsPerSpell: number;
  chance: Chance;
}): { messages: Message[]; bounces: Uint8Array } {
  const { calendar, sessions, chance, people } = world;
  const messages: Message[] = [];
  const bounces = new Uint8Array(sessions.length);
  const say = (time: number, machine: number, address: number, word: Word, badge = "", detail = "", session = -1) => {
    if (time < calendar.until) messages.push({ time, machine, address, word, badge, detail, session, sequence: 0 });
  };
  const cutsOf = machines.map((_, machine) => world.cuts.filter((cut) => cut.machines.includes(machine)));
  const hasPower = (machine: number, time: number) => !cutsOf[machine]!.some((cut) => time >= cut.from && time < cut.until);
  const sessionsOf: { session: TrueSession; index: number }[][] = machines.map(() => []);
  sessions.forEach((session, index) => {
    sessionsOf[session.machine]!.push({ session, index });
  });

  for (let machine = 0; machine < machines.length; machine += 1) {
    const own = sessionsOf[machine]!;
    let at = 0;
    let address = own[0]?.session.address ?? machines[machine]!.address;
    for (let time = calendar.from + chance.whole(60, idleEvery); time < calendar.until; time += idleEvery) {
      while (at < own.length && own[at]!.session.end <= time) at += 1;
      address = own[at]?.session.address ?? own.at(-1)?.session.address ?? address;
      const isInUse = own[at] !== undefined && own[at]!.session.start <= time;
      if (!isInUse && hasPower(machine, time)) say(time, machine, address, "alive");
    }
    for (const cut of cutsOf[machine]!) {
      const next = own.find(({ session }) => session.start >= cut.from)?.session ?? own.at(-1)?.session;
      const back = cut.until - (cut.kind === "power" ? chance.whole(0, 9) : 0);
      say(back, machine, next?.address ?? machines[machine]!.address, "boot", "", cut.kind === "boot" ? "watchdog" : "power");
    }
    for (const { session, index } of own) {
      const { address, badge, start, end } = session;
      const isBad = world.chatter.some(
        (week) => week.machine === machine && start >= week.from && start < week.until && chance.happens(week.share),
      );
      const wanted = isBad ? chance.whole(2, 5) : chance.happens(world.bounceShare) ? 1 : 0;
      let time = start;
      say(time, machine, address, "enable", badge, "", index);
      for (let bounce = 0; bounce < wanted && time + 4 < Math.min(end, session.bursts[0] ?? end); bounce += 1) {
        say(time + 1, machine, address, "release", badge, "", index);
        time += chance.whole(2, 3);
        say(time, machine, address, "enable", badge, "", index);
        bounces[index]! += 1;
      }
      for (let alive = start + inUseEvery; alive < end; alive += inUseEvery) say(alive, machine, address, "alive", "", "", index);
      session.bursts.forEach((burst, place) => {
        if (place % 2 === 0) say(burst, machine, address, "motor-on", "", "", index);
        else if (burst < end || session.ended === "released") say(burst, machine, address, "motor-off", "", "", index);
      });
      if (session.ended === "released") say(end, machine, address, "release", badge, "", index);
    }
  }

  // Somebody tries a machine that is not theirs, once, and is refused.
  for (const { from, until } of calendar.spells) {
    for (let count = chance.poisson(world.refusalsPerSpell); count > 0; count -= 1) {
      const machine = chance.whole(0, machines.length - 1);
      const time = Math.floor(chance.between(from + 900, until - 900));
      const own = sessionsOf[machine]!;
      const isTaken = own.some(({ session }) => session.start - 5 <= time && session.end + 5 >= time);
      if (isTaken || !hasPower(machine, time)) continue;
      const { group } = machines[machine]!;
      const who = people.filter((person) => person.role === "member" && !mayUse(person, group) && badgeAt(person, time) !== null);
      if (who.length === 0) continue;
      const next = own.find(({ session }) => session.start >= time)?.session ?? own.at(-1)?.session;
      say(time, machine, next?.address ?? machines[machine]!.address, "refuse", badgeAt(chance.pick(who), time)!);
    }
  }
  // Now and then a maintainer changes a station's settings while the doors are open.
  for (const { from, until, state } of calendar.stretches) {
    if (state !== "staffed" || !chance.happens(0.06)) continue;
    const time = Math.floor(chance.between(from + 600, until - 600));
    const badge = badgeAt(people[chance.whole(0, 4)]!, time);
    const machine = chance.whole(0, machines.length - 1);
    const own = sessionsOf[machine]!;
    const next = own.find(({ session }) => session.start >= time)?.session ?? own.at(-1)?.session;
    const detail = `limit ${chance.pick([30, 45, 60])} -> ${chance.pick([90, 120])}; lamp ${chance.pick(["dim", "bright"])}`;
    if (badge !== null && hasPower(machine, time))
      say(time, machine, next?.address ?? machines[machine]!.address, "change", badge, detail);
  }
  for (const message of world.extra) messages.push({ ...message, sequence: 0 });

  messages.sort((a, b) => a.time - b.time || a.machine - b.machine || a.address - b.address);
  for (const message of messages) {
    const slip = world.slips.find(
      ({ machine, from, until }) => machine === message.machine && message.time >= from && message.time < until,
    );
    if (slip !== undefined) message.address = slip.address;
  }
  number(messages, chance);
  return { messages, bounces };
}

// Each station counts what it says. Boards of the older half begin anew at a boot, the others remember.
function number(messages: Message[], chance: Chance): void {
  const counters = new Map<string, number>();
  for (const message of messages) {
    const { machine, address, word } = message;
    const board = machine >= 0 ? `m${machine}` : `a${address}`;
    const before = counters.get(board) ?? chance.whole(100, 60_000);
    const next = word === "boot" && machine % 2 === 0 ? 1 : before + 1;
    counters.set(board, next);
    message.sequence = next;
  }
}
