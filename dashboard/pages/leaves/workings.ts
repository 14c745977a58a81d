// How figures are worked out whose answers don't say so themselves; the files named here are the ones that ask.
import type { Workings } from "../ask/answers.ts";

/** The answer's own workings, with what a chart did to its rows said first. */
export const withStep = (workings: Workings, step: string): Workings => ({ ...workings, formula: `${step} ${workings.formula}` });

const hourOfWeekStep =
  "Minutes in use within an hour of the week = enabled hours in that hour of that weekday × 60 ÷ how many such weekdays the days shown have. Of each hour:";

export const steps = {
  sumOfMachines:
    "The best figures of all machines added up; machines driven by others are left out, so that no hour counts twice. Of each machine:",
  hourOfWeek: hourOfWeekStep,
} as const;

export const workings = {
  hourOfWeek: {
    formula: `${hourOfWeekStep} enabled hours = Σ (end − start), cut at full local hours.`,
    inputs: { sessions: "their best ends" },
    queries: ["analytics/hours/pieces.sql", "analytics/hours/answer.sql"],
    notes: [],
  },
  lengths: {
    formula:
      "Sessions that overlap the days shown, unclipped, counted by length; of an unseen end the median of where it may lie.",
    inputs: { sessions: "of this machine" },
    queries: ["analytics/hours/sessions.sql"],
    notes: [],
  },
  ladder: {
    formula:
      "Units in use at an instant = sessions running then, by best ends; an end comes before a start at the same instant. Hours are summed over open hours (staffed and member), over all hours where the workshop file gives none.",
    inputs: { sessions: "their best ends", "opening hours": "of the workshop file", outages: "a unit that is out is none" },
    queries: ["analytics/occupancy/ladder.sql", "analytics/occupancy/units.sql"],
    notes: [],
  },
  counts: {
    formula:
      "lines = stored + duplicates + ignored + blank + rejected, over every reading of a file. Repaired lines are part of the stored.",
    inputs: { readings: "every reading of a file" },
    queries: ["dashboard/questions/readings.sql"],
    notes: [],
  },
  nights: {
    formula:
      "Stretches of the rules for being alone, use in closed hours and badges left in, cut at the workshop's midnights; shorter than a quarter of an hour they are drawn that long. Opening hours are those of the workshop file, exceptions included.",
    inputs: { findings: "alone-closed, alone-hazard, closed-use, left-in", "opening hours": "of the workshop file" },
    queries: ["analytics/findings/night/open-stretches.sql", "analytics/findings/night/clocks.sql"],
    notes: ["Badges are counted, not people."],
  },
  strips: {
    formula:
      "Box: the middle half of the sessions whose end was seen. Fences of the logarithm: hinges −1.5·e^(−4·mc)·range and +1.5·e^(3·mc)·range for a medcouple mc of 0 or more, mirrored below (Hubert and Vandervieren 2008). Dots: sessions of the days shown that the rule for long sessions tells.",
    inputs: { sessions: "all of the log whose end was seen; 512 quantiles where there are more" },
    queries: ["analytics/findings/norms/samples.sql", "analytics/findings/long-session/beyond.sql"],
    notes: ["Machines with fewer than twelve sessions are left out."],
  },
  coverage: {
    formula: "Events and signs of life by station and local day, cut at the workshop's midnights.",
    inputs: { events: "of every kind", "signs of life": "as stretches" },
    queries: ["dashboard/questions/coverage.sql"],
    notes: [],
  },
} as const satisfies Record<string, Workings>;
