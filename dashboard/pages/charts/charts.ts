// Every chart there is, by name; loaded only when a page has arrived and wants its charts filled in.
import type { Chart, ChartName, ChartRows, ChartSettings } from "./chart.ts";
import { counts } from "./counts.ts";
import { coverage } from "./coverage.ts";
import { dayProfile } from "./day-profile.ts";
import { dueDots } from "./due-dots.ts";
import { freshness } from "./freshness.ts";
import { ladder } from "./ladder.ts";
import { lengthStrip } from "./length-strip.ts";
import { lengths } from "./lengths.ts";
import { lifeCurve } from "./life-curve.ts";
import { machineBars } from "./machine-bars.ts";
import { nightMap } from "./night-map.ts";
import { timeBars } from "./time-bars.ts";
import { wantedMap } from "./wanted-map.ts";
import { wearLine } from "./wear-line.ts";
import { weekMap } from "./week-map.ts";
import { worth } from "./worth.ts";

export { rowsFromArrow } from "../ask/arrow-rows.ts";
export { dress, nearestMark } from "./dress.ts";
export { fileFromTable, pictureOf } from "./files.ts";

export const charts: { [Name in ChartName]: Chart<ChartRows[Name], ChartSettings[Name]> } = {
  timeBars,
  machineBars,
  weekMap,
  dayProfile,
  lengths,
  ladder,
  counts,
  freshness,
  coverage,
  lifeCurve,
  dueDots,
  wearLine,
  nightMap,
  lengthStrip,
  worth,
  wantedMap,
};
