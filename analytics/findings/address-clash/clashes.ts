// Addresses that two stations answer to: a finding of its own, and a reason for other rules to hold their tongue meanwhile.
import { ask, question } from "../../../shared/question.ts";
import { type Asked, boundsOfSpan } from "../rule.ts";

const spells = question(import.meta.url, "./spells.sql");

export interface Clash {
  station: string;
  machine: string | null;
  machineName: string | null;
  from: Date;
  until: Date;
  returns: number;
  oneCounter: number;
  otherCounter: number;
}

/** Two counters that change places this often are no chance of late lines. */
const LEAST_RETURNS = 3;

export const clashes = (asked: Asked): Promise<Clash[]> =>
  asked.once("address clashes", () => ask<Clash>(asked.connection, spells, { ...boundsOfSpan(asked), least: LEAST_RETURNS }));

const DAY_MS = 86_400_000;

/** Whether two stations spoke at that address around then, so that nobody can say which machine a line is about. */
export const isInClash = (all: readonly Clash[], station: string, at: Date): boolean =>
  all.some(
    (clash) =>
      clash.station === station &&
      at.getTime() >= clash.from.getTime() - DAY_MS &&
      at.getTime() <= clash.until.getTime() + DAY_MS,
  );
