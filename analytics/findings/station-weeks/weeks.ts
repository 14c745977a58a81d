// The weeks of every station, as two rules ask for them.
import { ask, question } from "../../../shared/question.ts";
import { historyFrom } from "../history.ts";
import type { Asked } from "../rule.ts";

const countsQuestion = question(import.meta.url, "./counts.sql");

export interface StationWeek {
  machine: string;
  station: string;
  week: number;
  from: Date;
  until: Date;
  sessions: number;
  missingEnds: number;
  bounced: number;
  bounces: number;
  isOver: boolean;
}

export const stationWeeks = (asked: Pick<Asked, "connection" | "zone" | "asOf" | "since" | "once">): Promise<StationWeek[]> =>
  asked.once("station weeks", () =>
    ask<StationWeek>(asked.connection, countsQuestion, {
      zone: asked.zone,
      history: wholeWeeks(historyFrom(asked)),
      as_of: asked.asOf,
    }),
  );

/** From a Monday on, so that the first week is all but whole in any zone. */
const wholeWeeks = (from: Date | undefined): Date | null => {
  if (from === undefined) return null;
  const days = Math.floor(from.getTime() / 86_400_000);
  return new Date((days - ((days + 3) % 7)) * 86_400_000);
};

export const isInSpan =
  ({ since, until }: Pick<Asked, "since" | "until">) =>
  (week: Pick<StationWeek, "from" | "until">): boolean =>
    (until === undefined || week.from < until) && (since === undefined || week.until > since);

/** `2.4 %` */
export const percentText = (share: number): string => `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`;
