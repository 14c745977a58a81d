// What the service leaves are told, as the commands answer.
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

export interface ServiceAnswers {
  due: { asOf: string; tasks: DueTask[] };
  "service list": { services: ServiceRow[] };
  "outage list": { outages: OutageRow[] };
  "note list": { notes: NoteRow[] };
}
