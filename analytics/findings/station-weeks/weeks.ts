// The weeks of every station, as two rules ask for them.
import { ask, question } from "../../../shared/question.ts";
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

export const stationWeeks = ({
  connection,
  zone,
  asOf,
  once,
}: Pick<Asked, "connection" | "zone" | "asOf" | "once">): Promise<StationWeek[]> =>
  once("station weeks", () => ask<StationWeek>(connection, countsQuestion, { zone, as_of: asOf }));

export const isInSpan =
  ({ since, until }: Pick<Asked, "since" | "until">) =>
  (week: Pick<StationWeek, "from" | "until">): boolean =>
    (until === undefined || week.from < until) && (since === undefined || week.until > since);

/** `2.4 %` */
export const percentText = (share: number): string => `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`;
