// What goes wrong with power, radio and clock, and when; drawn before anything else so that people can meet it.
import type { Calendar } from "./calendar.ts";
import { machines } from "./place.ts";
import type { Chance } from "./random.ts";

/** Stations without power: a power cut takes many, a boot one. */
export interface Cut {
  kind: "power" | "boot";
  from: number;
  until: number;
  machines: number[];
  /** How the server's clock came back: right, in 1970, or at the time it saved last; null where the server kept running. */
  clock: "right" | "unset" | "saved" | null;
  /** When the server's clock was put right. */
  clockUntil: number;
  /** What the server's clock read at `until`, in its own reckoning. */
  clockReads: number;
}

/** One station's messages are lost; the machine works on. */
export interface RadioLoss {
  machine: number;
  from: number;
  until: number;
  /** The station keeps what it couldn't send and sends it afterwards. */
  isKept: boolean;
}

export interface Faults {
  cuts: Cut[];
  losses: RadioLoss[];
}

export function faultsFrom(calendar: Calendar, chance: Chance, years: number): Faults {
  const cuts: Cut[] = [];
  const losses: RadioLoss[] = [];
  const all = machines.map((_, index) => index);
  const openTime = () => {
    const { from, until } = chance.pick(calendar.spells);
    return Math.floor(chance.between(from + 1800, until - 600));
  };
  const anyTime = () => Math.floor(chance.between(calendar.from + 86_400, calendar.until - 3 * 86_400));

  const cutCount = Math.max(4, Math.round(years * 6));
  for (let index = 0; index < cutCount; index += 1) {
    const from = index % 3 === 2 ? anyTime() : openTime();
    const until = from + Math.round(chance.logNormal(25 * 60, 0.9)) + 20;
    const room = index % 4 === 3 ? chance.pick(["wood", "metal", "studio"] as const) : null;
    const kinds = ["unset", "right", "saved", null] as const;
    const clock = room === null ? kinds[index % 3]! : null;
    cuts.push({
      kind: "power",
      from,
      until,
      machines: room === null ? all : all.filter((machine) => machines[machine]!.room === room),
      clock,
      clockUntil: clock === "unset" || clock === "saved" ? until + chance.whole(4, 150) * 60 + chance.whole(1, 59) : until,
      clockReads: clock === "unset" ? chance.whole(18, 40) : clock === "saved" ? from - chance.whole(300, 3300) : until,
    });
  }
  for (const machine of all) {
    for (let count = chance.poisson(3.5 * years); count > 0; count -= 1) {
      const from = chance.happens(0.5) ? openTime() : anyTime();
      cuts.push({
        kind: "boot",
        from,
        until: from + chance.whole(9, 25),
        machines: [machine],
        clock: null,
        clockUntil: 0,
        clockReads: 0,
      });
    }
    for (let count = chance.poisson(2.2 * years); count > 0; count -= 1) {
      const from = chance.happens(0.6) ? openTime() : anyTime();
      losses.push({ machine, from, until: from + Math.round(chance.logNormal(50 * 60, 1.2)), isKept: chance.happens(0.3) });
    }
  }
  cuts.sort((a, b) => a.from - b.from || a.machines[0]! - b.machines[0]!);
  losses.sort((a, b) => a.from - b.from || a.machine - b.machine);
  // One fault at a time: a cut that begins before the last one of the same station is over (and its clock right) is dropped.
  const busyUntil = new Float64Array(machines.length);
  const kept = cuts.filter((cut) => {
    const end = Math.max(cut.until, cut.clockUntil) + 600;
    if (end > calendar.until || cut.machines.some((machine) => cut.from < busyUntil[machine]!)) return false;
    for (const machine of cut.machines) busyUntil[machine] = end;
    return true;
  });
  return { cuts: kept, losses: losses.filter(({ until }) => until < calendar.until) };
}
