// What became of a figure since the days before, in words.
import type { Reader } from "./reader.ts";

/** "a tenth more"? No: "12 % more than the 368 of"; equal within half a per cent counts as the same; from nothing there is no share. */
export function changeWords(now: number, before: number, reader: Reader): string {
  if (before === 0) return now === 0 ? "as before, none" : "none before";
  const change = now / before - 1;
  if (Math.abs(change) < 0.005) return "as much as before";
  return `${reader.share(Math.abs(change))} ${change > 0 ? "more" : "less"}`;
}
