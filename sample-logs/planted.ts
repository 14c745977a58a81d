// Findings put in on purpose, at stated sizes. (Plain version: none yet.)
import type { Calendar } from "./calendar.ts";
import type { OddWeek } from "./demand.ts";
import type { BadWeek, Message, Slip } from "./messages.ts";
import { machines } from "./place.ts";
import { emptyPlan, type Forced, type Plan } from "./use.ts";

export interface Planted {
  plan: Plan;
  oddWeeks: OddWeek[];
  quiet: { from: number; until: number }[];
  chatter: BadWeek[];
  missing: BadWeek[];
  slips: (Slip & { rule: string })[];
  silent: { machine: number; from: number; until: number }[];
  extra: Omit<Message, "sequence">[];
}

/** Somebody turns a bowl through each change of the clocks, so that both kinds always have a session across them. */
export function longNights(calendar: Calendar): Forced[] {
  const machine = machines.findIndex(({ id }) => id === "wood-lathe-1");
  return calendar.changes.map(({ time }) => ({ time: time - 20 * 60, machine, seconds: 45 * 60, rule: null, size: null }));
}

export const nothingPlanted = (): Planted => ({
  plan: emptyPlan(),
  oddWeeks: [],
  quiet: [],
  chatter: [],
  missing: [],
  slips: [],
  silent: [],
  extra: [],
});
