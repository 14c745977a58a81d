// A starter catalogue: what is usually done to a class of part, and about how often. Every line is common practice or from the named
// source, never a maker's word about one machine: the maker's manual wins. Classes are those of stats/priors.ts.
import { cautionsFor } from "./cautions.ts";

/** How well a source is known: read in a regulation, standard or maker's text (A) or a faithful copy (B); or from memory. */
export type Grade = "A" | "B" | "from memory";

interface Typed {
  task: string;
  every?: Record<string, number>;
  first_after?: Record<string, number>;
  reading?: { name: string; unit: string; limit: number; due?: "above" | "below" };
  at_most?: number;
  resets?: string[];
  who?: string;
  /** Null: common practice. */
  source: string | null;
  grade: Grade | null;
}

export interface CataloguedTask extends Typed {
  class: string;
  practice: string;
  cautions: string[];
}

const practice = (task: string, rest: Omit<Typed, "task" | "source" | "grade">): Typed => ({
  task,
  ...rest,
  source: null,
  grade: null,
});
const from = (task: string, source: string, grade: Grade, rest: Omit<Typed, "task" | "source" | "grade">): Typed => ({
  task,
  ...rest,
  source,
  grade,
});

const electrician = "a licensed electrician or a competent person, as your local code says";

const typed: Record<string, Typed[]> = {
  "saw-blade": [
    practice("sharpen", { every: { hours: 30 }, at_most: 5 }),
    practice("replace", { every: { hours: 150 }, resets: ["sharpen"] }),
    practice("inspect", { every: { "use-days": 10 } }),
  ],
  "band-saw-blade": [practice("replace", { every: { hours: 30 } }), practice("inspect", { every: { "use-days": 10 } })],
  "planer-knives": [
    practice("sharpen", { every: { hours: 15 }, at_most: 3 }),
    practice("replace", { every: { hours: 60 }, resets: ["sharpen"] }),
  ],
  cutter: [
    practice("sharpen", { every: { hours: 20 }, at_most: 3 }),
    practice("replace", { every: { hours: 80 }, resets: ["sharpen"] }),
  ],
  "drill-bit": [practice("sharpen", { every: { hours: 10 } })],
  "sanding-belt": [practice("replace", { every: { hours: 6 } })],
  "grinding-wheel": [
    practice("dress", { every: { hours: 10 } }),
    from("inspect", "29 CFR 1910.215(a)(4): work rest within 1/8 in of the wheel", "A", {
      every: { "use-days": 5 },
      reading: { name: "work rest gap", unit: "mm", limit: 3.175 },
    }),
    practice("replace", { every: { hours: 80 }, resets: ["dress"] }),
  ],
  belt: [
    from("tension", "a fan maker's manual: check often in the first 24 to 48 hours of running", "A", {
      first_after: { hours: 24 },
      every: { days: 120 },
    }),
    practice("replace", { every: { hours: 2000 }, resets: ["tension"] }),
  ],
  chain: [
    practice("oil", { every: { hours: 50 } }),
    practice("inspect", { every: { days: 180 }, reading: { name: "elongation", unit: "%", limit: 3 } }),
    practice("replace", { every: { hours: 3000 }, resets: ["oil"] }),
  ],
  bearing: [practice("grease", { every: { hours: 500, days: 365 } }), practice("inspect", { every: { days: 180 } })],
  filter: [
    practice("clean", { every: { "load-hours": 40 }, reading: { name: "pressure drop", unit: "kPa", limit: 1.25 } }),
    practice("replace", { every: { "load-hours": 1000 }, resets: ["clean"] }),
    from("inspect", "HSE's guidance on local exhaust ventilation: a look at it at least weekly", "B", { every: { days: 7 } }),
    from("examine", "COSHH Regulations 2002 reg. 9(2)(a): thorough examination at least every 14 months (Great Britain)", "B", {
      every: { days: 425 },
      who: "a competent person, as your local code says",
    }),
  ],
  lubricant: [
    from(
      "replace",
      "a piston compressor maker's manual: 1000 h or 180 days, whichever is shorter; 500 h or 90 days in dust",
      "A",
      {
        every: { hours: 1000, days: 180 },
      },
    ),
  ],
  coolant: [practice("replace", { every: { days: 180 } }), practice("inspect", { every: { days: 14 } })],
  contactor: [
    from("replace", "order of B10d of a contactor at nominal load in ISO 13849-1 table C.1", "from memory", {
      every: { starts: 130000 },
      who: electrician,
    }),
    practice("inspect", { every: { days: 365 }, who: electrician }),
  ],
  "motor-brushes": [
    practice("inspect", { every: { hours: 100 } }),
    practice("replace", { every: { hours: 400 }, resets: ["inspect"] }),
  ],
  lamp: [
    from("replace", "lighting practice: economic life is 60 to 75 % of the rated life, here of 20 000 h", "A", {
      every: { hours: 13000 },
    }),
  ],
  "heating-element": [practice("replace", { every: { cycles: 150 }, who: electrician })],
  "laser-tube": [
    practice("clean", { every: { "use-days": 10 } }),
    practice("replace", { every: { hours: 2000 }, resets: ["clean"] }),
  ],
  nozzle: [practice("replace", { every: { hours: 300 } })],
  needle: [practice("replace", { every: { hours: 8 } })],
  brake: [
    from("measure", "HSE WIS 38 (PUWER 1998 reg. 15): run-down of 10 seconds or less; the mean of ten stops", "A", {
      every: { days: 180 },
      reading: { name: "run-down", unit: "s", limit: 10 },
    }),
  ],
};

/** What is usually done, by class of part; each with its source or the words common practice, and with its cautions. */
export const CATALOGUE: readonly CataloguedTask[] = Object.entries(typed).flatMap(([partClass, tasks]) =>
  tasks.map((task) => ({
    class: partClass,
    ...task,
    practice: `${task.source === null ? "common practice" : `after ${task.source}${task.grade === "from memory" ? " (from memory)" : ""}`}; the maker's manual wins`,
    cautions: cautionsFor({
      machineName: "the machine",
      class: partClass,
      who: task.who ?? null,
      isolate: null,
      source: task.source,
      task: task.task,
    }),
  })),
);

export const catalogueFor = (partClass: string): CataloguedTask[] => CATALOGUE.filter((task) => task.class === partClass);
