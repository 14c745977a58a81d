// Is a machine getting worse? Its repairs, kept apart from services, against its own hours.
import { type Insufficient, isInsufficient } from "../../shared/errors.ts";
import type { ServiceRecord, Task } from "../service/tasks.ts";
import { type RepairCurve, repairCurve, repairTrend } from "../stats/index.ts";

export type TrendVerdict = "getting-worse" | "getting-better" | "no-trend";

export interface Trend {
  /** Laplace's, by the machine's hours; `p` is two-sided. */
  test: "laplace";
  p: number;
  verdict: TrendVerdict;
  events: number;
  laplaceU: number;
  /** The other two say the same or not. */
  milP: number | null;
  reversals: number | null;
  pairs: number | null;
}

const MENDING = /^(repair|mend|fix)(?![\p{L}\p{N}])/u;
const SURE = 0.05;

/** What broke and was mended: a record that found it failed, or of a task that is a repair by name. Accidents and services are not. */
export function isRepair({ found, task }: Pick<ServiceRecord, "found" | "task">, isLook: boolean): boolean {
  return !isLook && (found === "failed" || (MENDING.test(task) && found !== "damaged"));
}

export const repairsOf = (records: readonly ServiceRecord[], tasks: readonly Task[]): ServiceRecord[] => {
  const looking = new Set(tasks.filter(({ inspects }) => inspects).map(({ part, task }) => JSON.stringify([part, task])));
  return records.filter((record) => isRepair(record, looking.has(JSON.stringify([record.part, record.task]))));
};

/** Trend of repairs at ages `times` of a machine watched until `end`, all in one unit; fewer than four are too few. */
export function trendOf(times: readonly number[], end: number): Trend | Insufficient {
  // What was mended before the log began has no age in the machine's hours.
  const seen = times.filter((time) => time > 0 && time <= end).sort((a, b) => a - b);
  if (seen.length === 0 || !(end > 0)) return { insufficient: { have: 0, need: 4 } };
  const trend = repairTrend({ time: seen, end });
  if (isInsufficient(trend)) return trend;
  const { laplaceU, laplaceP, milCdf, reversals, pairs, events } = trend;
  if (laplaceU === null || laplaceP === null) return { insufficient: { have: events, need: events + 1 } };
  return {
    test: "laplace",
    p: laplaceP,
    verdict: laplaceP >= SURE ? "no-trend" : laplaceU > 0 ? "getting-worse" : "getting-better",
    events,
    laplaceU,
    milP: milCdf === null ? null : 2 * Math.min(milCdf, 1 - milCdf),
    reversals,
    pairs,
  };
}

/** Repairs so far by the machine's hours; null where there was none. */
export function curveOf(times: readonly number[], end: number): RepairCurve | null {
  const seen = times.filter((time) => time > 0 && time <= end);
  if (seen.length === 0 || !(end > 0)) return null;
  const curve = repairCurve({ time: seen, end });
  return isInsufficient(curve) ? null : curve;
}
