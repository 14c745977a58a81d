// Refusals in a run at one station: somebody who tries again and again, or badge after badge.
import { ask, question } from "../../../shared/question.ts";
import { rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { type Run, tooDense } from "./judge.ts";

const runsQuestion = question(import.meta.url, "./runs.sql");
const openQuestion = question(import.meta.url, "./open-time.sql");

/** Two refusals further apart belong to different tries. */
const GAP_SECONDS = 120;

interface Row extends Run {
  machine: string | null;
  machineName: string | null;
  badge: string | null;
  from: Date;
  until: Date;
}

export const refusalRun = rule({
  name: "refusal-run",
  version: 1,
  severity: "medium",
  summary: "a station refused badges many times in a short while",
  defaults: { false_discovery: 0.1 },
  why: "No fixed count: a run is held against how often this station refuses (the scan statistic: how likely is a stretch as dense anywhere in the open hours of the log) and against how often people here try again when refused. Where they seldom do, four tries in a row are enough.",
  weighty: ["count", "badges"],
  async find(asked) {
    const { connection, asOf, since, until, workshop } = asked;
    const rows = await ask<Row>(connection, runsQuestion, { as_of: asOf, gap_seconds: GAP_SECONDS });
    const [open] = await ask<{ logSeconds: number; openSeconds: number }>(connection, openQuestion, { as_of: asOf });
    const openSeconds = workshop.hasHours && open!.openSeconds > 0 ? open!.openSeconds : open!.logSeconds;
    const { runs, falsePerRun, habit } = tooDense(rows, { rate: asked.knobs.false_discovery, openSeconds });
    const isIn = (run: { from: Date; until: Date }) =>
      (until === undefined || run.from < until) && (since === undefined || run.until >= since);
    const expectedFalse = falsePerRun * rows.filter(isIn).length;
    return runs.filter(isIn).map((run) => {
      const minutes = (run.until.getTime() - run.from.getTime()) / 60_000;
      const place = run.machineName === null ? `station ${run.station}` : `${run.machineName} (station ${run.station})`;
      const who = run.badges > 1 ? `${run.badges} badges were` : "one badge was";
      return {
        key: `${run.station} ${run.from.toISOString()}`,
        machine: run.machine,
        group: null,
        room: null,
        station: run.station,
        badge: run.badge,
        from: run.from,
        until: run.until,
        score: -Math.log10(Math.max(run.tail, 1e-300)),
        expectedFalse,
        evidence: {
          text: `At ${place} ${who} refused ${run.count} times within ${minutesText(Math.max(minutes, 1 / 60))}.`,
          unknown:
            "The log can't know why: a permission that ran out, a reader that misreads, a member who was told it would work, or somebody who should not be there. Ask before you judge.",
          figures: {
            count: run.count,
            badges: run.badges,
            minutes,
            densestWindowSeconds: run.windowSeconds,
            tail: run.tail,
            triesAgainShare: habit.again,
          },
        },
      };
    });
  },
});
