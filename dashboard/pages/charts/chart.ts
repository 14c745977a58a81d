// What every chart answers: its numbers as a table, each of its marks in words, and its picture.
import type { Covered, HoursRow, InUse, LengthStrip, MaybeRange, Session } from "../ask/answers.ts";
import type { Days } from "../period/period.ts";
import type { Reader } from "../words/reader.ts";

/** Weeks, or months where a reader is told no more. */
export type Bucket = "week" | "month";

/** What a chart is drawn from, beside its rows. One entry a chart; kept apart from the drawing so that pages stay light. */
export interface ChartSettings {
  /** `machines` whose hours are added up; one, or all that no other drives. */
  timeBars: {
    by: Bucket;
    shown: Days;
    chosen: Days | null;
    what: "enabledHours" | "runHours";
    machines: readonly string[];
  };
  machineBars: { machines: readonly { machine: string; name: string }[]; atMost?: number };
  weekMap: { machines: readonly string[]; lived: Days; places: number };
  dayProfile: { machines: readonly string[]; lived: Days; places: number };
  lengths: Record<string, never>;
  ladder: { units: number };
  counts: Record<string, never>;
  freshness: { shown: Days };
  coverage: { shown: Days };
  lifeCurve: { unit: string };
  dueDots: { today: string };
  wearLine: { today: string; unit: string; interval: number };
  nightMap: Record<string, never>;
  lengthStrip: Record<string, never>;
  worth: { unit: string };
  wantedMap: { units: number };
}

export interface ChartRows {
  timeBars: HoursRow;
  machineBars: HoursRow;
  weekMap: HoursRow;
  dayProfile: HoursRow;
  lengths: Session;
  ladder: InUse;
  counts: { name: string; says: string; lines: number };
  freshness: Covered;
  /** One station's days as letters: e events, a only signs of life, - nothing. */
  coverage: { station: string; days: string };
  lifeCurve: LifePoint;
  dueDots: DueWindow;
  wearLine: WearPoint;
  nightMap: NightDay;
  /** `far`: lengths of sessions that stand out, in minutes. */
  lengthStrip: LengthStrip & { far: number[] };
  /** Best first. */
  worth: { name: string; gained: { low: number; best: number; high: number }; says: string };
  /** Turns wished for an hour, and the part of what the units can take that they would fill. */
  wantedMap: { hourOfWeek: number; turns: { low: number; best: number; high: number }; filled: number };
}

/** One task's window: twenty days, each as likely as the others; null beyond the reach of the forecast. */
export interface DueWindow {
  name: string;
  state: "overdue" | "now" | "soon" | "later" | "unknown";
  dots: (string | null)[];
  early: string | null;
  median: string | null;
  late: string | null;
}

/** Use since the task was last done by the end of a day; `done` where it was done on that day, `dot` a day on which it may be used up. */
export interface WearPoint {
  kind: "use" | "done" | "dot";
  day: string;
  used: number;
}

/** One local day: when the doors were open, and stretches worth a look, in hours of the clock. */
export interface NightDay {
  day: string;
  open: { from: number; until: number; state: string }[];
  stretches: { from: number; until: number; rule: string }[];
}

/** One step of the estimate from the lives alone, or one point of the fitted line. */
export interface LifePoint {
  kind: "step" | "fit";
  time: number;
  survival: MaybeRange;
}

export type ChartName = keyof ChartSettings;

export interface NumbersTable {
  head: string[];
  /** Cells as shown; the first is the row's head. */
  body: string[][];
}

/** One place to read: where it stands in the picture and what it says. */
export interface Mark {
  x: number;
  y: number;
  says: string;
}

export interface Canvas {
  width: number;
  reader: Reader;
  /** Where elements are made; a test hands in its own. */
  document: Document;
}

export interface Drawn {
  figure: SVGElement | HTMLElement;
  marks: Mark[];
  /** How many marks one step up or down goes; 1 where the marks stand in one line. */
  stride: number;
}

export interface Chart<Row, Settings> {
  /** The numbers behind it, or null where there is nothing to draw. */
  table(rows: readonly Row[], settings: Settings, reader: Reader): NumbersTable | null;
  draw(rows: readonly Row[], settings: Settings, canvas: Canvas): Drawn;
}
