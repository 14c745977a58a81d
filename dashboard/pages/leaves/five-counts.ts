// The five counts of lines that add up to all that was read.
import type { Reading } from "../ask/answers.ts";
import type { ChartRows } from "../charts/chart.ts";

export type FiveCounts = Pick<Reading, "lines" | "stored" | "duplicates" | "ignored" | "blank" | "rejected" | "repaired">;

export function sumOfReadings(readings: readonly Reading[]): FiveCounts {
  const sum: FiveCounts = { lines: 0, stored: 0, duplicates: 0, ignored: 0, blank: 0, rejected: 0, repaired: 0 };
  for (const reading of readings) for (const name of Object.keys(sum) as (keyof FiveCounts)[]) sum[name] += reading[name];
  return sum;
}

export const fiveCounts = (counts: FiveCounts): ChartRows["counts"][] => [
  { name: "stored", says: "read and kept", lines: counts.stored },
  { name: "duplicates", says: "the same line was there already", lines: counts.duplicates },
  { name: "ignored", says: "of a kind that the profile leaves out", lines: counts.ignored },
  { name: "blank", says: "only white space", lines: counts.blank },
  { name: "rejected", says: "not understood", lines: counts.rejected },
];
