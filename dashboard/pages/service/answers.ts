// What the service leaves are told, as the commands answer.
import type { Insufficient, Range } from "../../../shared/errors.ts";
import type { MaybeRange } from "../ask/answers.ts";

export interface DueDates {
  early: string | null;
  median: string | null;
  late: string | null;
}

export interface DueTask {
  machine: string;
  part: string;
  task: string;
  machineName: string;
  partName: string;
  taskName: string;
  basis: string | null;
  used: MaybeRange | null;
  interval: number | null;
  state: "overdue" | "now" | "soon" | "later" | "unknown";
  due: DueDates;
  /** Twenty days, each one chance in twenty; null beyond the reach of the forecast. */
  dots?: (string | null)[];
  /** On the page: where it stands while entries arrive. */
  group?: DueTask["state"];
  reading: { name: string; unit: string | null; limit: number; last: number | null } | null;
  lastDone: string | null;
  timesDone: number;
  atMost: number | null;
  notes: string[];
  cautions: string[];
}

export interface ServiceRow {
  id: number;
  machine: string;
  part: string;
  task: string;
  time: string;
  timeUntil: string | null;
  found: string;
  by: string | null;
  note: string | null;
  undone: boolean;
  correctedBy: number | null;
}

export interface OutageRow {
  id: string;
  machine: string;
  from: string;
  until: string | null;
  reason: string | null;
  by: string | null;
  source: string;
}

export interface NoteRow {
  id: number;
  machine: string;
  time: string;
  text: string;
  by: string | null;
}

export interface LifeRow {
  machine: string;
  part: string;
  task: string;
  partName: string;
  taskName: string;
  unit: string;
  failures: number;
  worn: number;
  rightCensored: number;
  leftOut: number;
  shape: Range;
  b10Hours: Range;
  prior: { shape: Range; b10Hours: Range; source: string };
  interval: {
    hours: { best: number } | null;
    setHours: number | null;
    costPerHour: number | null;
    costPerHourSet: number | null;
    costPerHourRunToFailure: number | null;
    advice: "replace" | "inspect" | "run-to-failure" | "not-enough";
    reason: string;
  };
  trend: { p: number; verdict: "getting-worse" | "getting-better" | "no-trend" } | Insufficient;
  decision: { choice: string; interval: number | null; by: string | null; time: string } | null;
}

export interface SpareRow {
  machine: string;
  part: string;
  machineName: string;
  partName: string;
  needed: Range | Insufficient;
  inStock: number | null;
  hold: number | Insufficient;
  orderBy: string | null;
  leadDays: number | null;
  price: number | null;
  toBuy: number | null;
}

export interface ShelfRow {
  machine: string;
  part: string;
  inStock: number | null;
  price: number | null;
  serials: { serial: string }[];
}

export interface Asking {
  text: string;
  daysNarrower: number;
  windows: number;
}

export interface Evening {
  machine: string;
  machineName: string;
  day: string;
  tasks: { partName: string; taskName: string }[];
  isolationsSaved: number;
  memberHoursSaved: number;
  displacedHours: number;
  waiting: string[];
}

export interface ServiceAnswers {
  asking: { asked: Asking | null };
  evenings: { evenings: Evening[] };
  life: { lives: LifeRow[] };
  spares: { today: string; days: number; serviceLevel: number; parts: SpareRow[] };
  "stock list": { shelf: ShelfRow[] };
  due: { asOf: string; tasks: DueTask[] };
  "service list": { services: ServiceRow[] };
  "outage list": { outages: OutageRow[] };
  "note list": { notes: NoteRow[] };
}
