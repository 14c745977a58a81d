// A shop in plain numbers, for forecasts that ask no store. Chance is seeded.
import type { MachineDays, ShopPast } from "../../analytics/forecast/past.ts";
import { generator } from "../../analytics/forecast/worlds.ts";

export interface ShopOptions {
  days: number;
  seed?: number;
  machines?: number;
  /** Weekdays (0 Monday) on which it is open; all where null, and then without opening hours. */
  open?: readonly number[] | null;
  closed?: readonly number[];
  /** Hours of one session; its number on a day follows Poisson's law. */
  sessionHours?: number;
  aDay?: number;
  /** How busy a day is against the mean. */
  busy?: (day: number) => number;
}

const reach = 731;

/** Machines m0, m1, … of groups g0, g0, g1, g1, …; day 0 is Monday 3 March 2025. */
export function shopOf({
  days,
  seed = 1,
  machines = 6,
  open = [0, 1, 2, 3, 4, 5],
  closed = [],
  sessionHours = 0.5,
  aDay = 2,
  busy = () => 1,
}: ShopOptions): ShopPast {
  const random = generator(seed);
  const count = days + reach;
  const openHours = open === null ? null : new Float64Array(count);
  if (openHours !== null) {
    for (let day = 0; day < count; day++) openHours[day] = open!.includes(day % 7) && !closed.includes(day) ? 10 : 0;
  }
  const poisson = (mean: number): number => {
    let product = random();
    let k = 0;
    while (product > Math.exp(-mean)) {
      product *= random();
      k += 1;
    }
    return k;
  };
  return {
    today: dateOf(days),
    firstDay: dateOf(0),
    todayIndex: days,
    firstYear: 2025 + 61 / 365.2425,
    days: { count, firstWeekday: 0, openHours },
    machines: Array.from({ length: machines }, (_, i): MachineDays => {
      const starts = new Float64Array(days);
      const hours = new Float64Array(days);
      for (let day = 0; day < days; day++) {
        if (openHours !== null && openHours[day] === 0) continue;
        starts[day] = poisson(aDay * busy(day));
        for (let k = 0; k < starts[day]!; k++) hours[day]! += -Math.log(1 - random()) * sessionHours;
      }
      return {
        machine: `m${i}`,
        group: `g${i >> 1}`,
        kind: "stations",
        fromDay: null,
        untilDay: null,
        motorHours: new Float64Array(days),
        factoredHours: hours,
        loadHours: new Float64Array(days),
        starts,
        sessions: starts,
        outages: [],
        factor: null,
        rate: null,
      };
    }),
  };
}

export const dateOf = (day: number): string => new Date(Date.UTC(2025, 2, 3 + day)).toISOString().slice(0, 10);

/** The same shop with something else about each machine. */
export const withMachines = (past: ShopPast, change: (machine: MachineDays) => Partial<MachineDays>): ShopPast => ({
  ...past,
  machines: past.machines.map((machine) => ({ ...machine, ...change(machine) })),
});
