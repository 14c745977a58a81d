// How each figure is worked out, in words; the files named here are the ones that ask.
import type { Workings } from "../charts/figure.tsx";

const rangeWords =
  "Where the end of a session was not seen, or the run factor is estimated, the range holds the true figure four times in five (10 and 90 % points of simulated ends).";

export const workings = {
  hours: {
    formula: `Badge hours: the length of every session, cut at the workshop's local midnights. Run-hours: as motor events measured them, else badge hours × the machine's run factor. ${rangeWords}`,
    inputs: "sessions, motor events, hour-meter readings and run factors of the workshop file",
    file: "analytics/hours/answer.sql",
  },
  hoursOfAll: {
    formula:
      "The best figures of all machines added up, week by week, cut at local midnights; weeks start on Monday. Machines driven by others are left out, so that no hour counts twice.",
    inputs: "sessions of every station",
    file: "analytics/hours/answer.sql",
  },
  hourOfWeek: {
    formula:
      "Minutes in use within an hour of the week = badge hours in that hour of that weekday over the days shown × 60 ÷ how many such weekdays there were. Sessions are cut at full local hours.",
    inputs: "sessions, best ends",
    file: "analytics/hours/answer.sql",
  },
  lengths: {
    formula:
      "Every session that overlaps the days shown, unclipped, counted by its length; where the end was not seen, by the median of what fits the evidence.",
    inputs: "sessions",
    file: "analytics/hours/sessions.sql",
  },
  ladder: {
    formula:
      "Units in use at an instant = sessions running then, by best ends; an end comes before a start at the same instant. Hours are summed over open hours (staffed and member), over all hours where the workshop file gives none.",
    inputs: "sessions, opening hours, outages",
    file: "analytics/occupancy/ladder.sql",
  },
  counts: {
    formula:
      "lines = stored + duplicates + ignored + blank + rejected, over every reading of a file. Repaired lines are part of the stored.",
    inputs: "readings of files",
    file: "dashboard/questions/readings.sql",
  },
  coverage: {
    formula: "Events and signs of life counted by station and local day.",
    inputs: "events, signs of life",
    file: "analytics/coverage/coverage.sql",
  },
} as const satisfies Record<string, Workings>;
