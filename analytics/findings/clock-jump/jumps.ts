// Times in which a clock was not set: a finding of its own, and a reason for other rules to hold their tongue meanwhile.
import { ask, question } from "../../../shared/question.ts";
import { type Asked, boundsOfSpan } from "../rule.ts";

const jumps = question(import.meta.url, "./jumps.sql");

export interface ClockJump {
  from: Date;
  until: Date;
  lines: number;
  stations: number;
  station: string | null;
  lagSeconds: number | null;
}

export const clockJumps = (asked: Asked): Promise<ClockJump[]> =>
  asked.once("clock jumps", () => ask<ClockJump>(asked.connection, jumps, { ...boundsOfSpan(asked), zone: asked.zone }));

export const isInJump = (all: readonly ClockJump[], from: Date, until: Date): boolean =>
  all.some((jump) => from <= jump.until && until >= jump.from);
