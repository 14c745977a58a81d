// The workshop file, word by word: what may stand in it and what it becomes. Checks that need two places are in workshop-rules.ts.
import * as z from "zod";
import type { Range } from "./errors.ts";
import { findingsSchema } from "./findings-switches.ts";
import { spanWord, WEEKDAYS, type Weekday } from "./opening-hours.ts";
import {
  above0,
  dateWord,
  dayOrTimeWord,
  from0,
  idWord,
  oneOrMore,
  rangeOf,
  stationWord,
  strict,
  whole,
  word,
  yes,
  zoneWord,
} from "./words.ts";

/** What a task's interval may be counted in, and what each counts. */
export const TASK_UNITS = {
  hours: "run-hours",
  load_hours: "load-hours",
  starts: "starts",
  days: "calendar days",
  use_days: "days of use",
  cycles: "cycles",
} as const;
export type TaskUnit = keyof typeof TASK_UNITS;

const limits = (expected: string) =>
  strict(expected, {
    hours: above0("run-hours").optional(),
    load_hours: above0("load-hours").optional(),
    starts: above0("starts").optional(),
    days: above0("calendar days").optional(),
    use_days: above0("days of use").optional(),
    cycles: above0("cycles").optional(),
  }).refine((every) => Object.keys(every).length > 0, `at least one of ${Object.keys(TASK_UNITS).join(", ")}`);

export const taskSchema = strict("a task like {id: clean, every: {hours: 40}}", {
  id: idWord("a task's id, like replace, sharpen, tension, clean, grease or inspect"),
  name: word("text").optional(),
  /** Due when the first of these is used up. */
  every: limits("an interval like {hours: 60}").optional(),
  /** Once early after the part is fitted, then as `every` says: a new V-belt stretches in its first hours. */
  first_after: limits("an interval like {hours: 2}").optional(),
  /** A measured value that tells when it is time. */
  reading: strict("a reading like {name: pressure drop, unit: kPa, limit: 1.25}", {
    name: word("the reading's name"),
    unit: word("the reading's unit").optional(),
    limit: z.number("the value at which it is time, a number"),
    /** On which side of the limit it is time. */
    due: z.enum(["above", "below"], "above or below").default("above"),
  }).optional(),
  /** Done this often, the part is at its end: only so many sharpenings. */
  at_most: whole("times", 1).optional(),
  /** Tasks of the same part whose count begins anew with this one. */
  resets: z.array(idWord("a task's id"), "a list of task ids like [sharpen]").default([]),
  cost_planned: from0("an amount of money").optional(),
  cost_failure: from0("an amount of money").optional(),
  /** Where this machine's energy is isolated for the task. */
  isolate: word("text: where and how to isolate").optional(),
  /** Who may do it: a licensed electrician, a trained volunteer. */
  who: word("text: who may do it").optional(),
  /** Where the interval comes from: page 31 of the maker's manual. */
  source: word("text: where the interval comes from").optional(),
  note: word("text").optional(),
}).refine((task) => task.every !== undefined || task.reading !== undefined, "every (an interval) or reading (a limit)");

const useSoFar = from0("use so far");

export const partSchema = strict("a part like {id: belt, tasks: […]}", {
  id: idWord("a part's id"),
  name: word("text").optional(),
  /** Picks the prior of its life. */
  class: idWord("a class of part like band, belt, filter").optional(),
  fitted: dayOrTimeWord.optional(),
  /** Already used when the log begins, in the part's own unit. */
  used_at_start: z
    .union([useSoFar, rangeOf("use so far", useSoFar)], "use so far: a number, or {low, best, high}")
    .transform((figure): Range => (typeof figure === "number" ? { low: figure, best: figure, high: figure } : figure))
    .optional(),
  price: from0("an amount of money").optional(),
  lead_days: from0("days").optional(),
  stock: whole("pieces in stock", 0).optional(),
  tasks: z.array(taskSchema, "a list of tasks").default([]),
  note: word("text").optional(),
});

const driverSchema = strict("a load like {load: 6}", { load: above0("a load").default(1) });

const driversSchema = z
  .union(
    [
      z.array(idWord("a machine's id"), "a list of machine ids"),
      z.record(z.string(), z.union([driverSchema, z.null()], "a load like {load: 6}")),
    ],
    "machines like [planer, band-saw] or {planer: {load: 6}}",
  )
  .transform(
    (drivers): Record<string, { load: number }> =>
      Array.isArray(drivers)
        ? Object.fromEntries(drivers.map((id) => [id, { load: 1 }]))
        : Object.fromEntries(Object.entries(drivers).map(([id, driver]) => [id, driver ?? { load: 1 }])),
  );

export const stationSpanSchema = z
  .union(
    [
      stationWord,
      strict("a station like {station: 21, from: 2023-05-01}", {
        station: stationWord,
        from: dayOrTimeWord.optional(),
        /** Excluded: may equal the next span's `from`. */
        until: dayOrTimeWord.optional(),
      }),
    ],
    "a station like {station: 21, from: 2023-05-01}",
  )
  .transform((span): { station: string; from?: string | undefined; until?: string | undefined } =>
    typeof span === "string" ? { station: span } : span,
  );

export const outageSchema = strict("an outage like {from: 2025-06-02, until: 2025-06-20, reason: bearing}", {
  from: dayOrTimeWord,
  /** That day belongs to it; without it, the outage lasts. */
  until: dayOrTimeWord.optional(),
  reason: word("text").optional(),
});

export const meterReadingSchema = strict("a reading like {time: 2025-01-04T10:00, hours: 812.4}", {
  time: dayOrTimeWord,
  hours: from0("the meter's hours"),
});

const FACTOR = "run-hours per enabled hour, above 0 and at most 1";
const factor = z.number(FACTOR).gt(0, FACTOR).max(1, FACTOR);
/** One bare number may be a fifth out either way, but no motor turns longer than it is enabled. */
export const runFactorSchema = z
  .union([factor, rangeOf("a run factor", factor)], "a run factor: a number, or {low, best, high}")
  .transform(
    (figure): Range =>
      typeof figure === "number" ? { low: figure * 0.8, best: figure, high: Math.min(figure * 1.2, 1) } : figure,
  );

const HAZARD = ["high", "medium", "low"] as const;
const ALONE = ["never", "ask", "fine"] as const;

export const machineSchema = strict("a machine like {id: planer, stations: [{station: 21}]}", {
  id: idWord("a machine's id"),
  name: word("text").optional(),
  group: idWord("a group").optional(),
  room: idWord("a room's id").optional(),
  hazard: z.enum(HAZARD, "high, medium or low").default("medium"),
  /** May it be used with nobody else about? */
  alone: z.enum(ALONE, "never, ask or fine").optional(),
  price: from0("an amount of money").optional(),
  life_years: above0("years").optional(),
  from: dayOrTimeWord.optional(),
  until: dayOrTimeWord.optional(),
  stations: z.array(stationSpanSchema, "a list of stations").min(1, "at least one station").optional(),
  driven_by: driversSchema.optional(),
  run_on_seconds: from0("seconds").optional(),
  always_on: yes("whether it runs all the time").optional(),
  run_factor: runFactorSchema.optional(),
  /** The file's run factor is used even where motor events or readings tell another. */
  run_factor_fixed: yes("whether run_factor overrides what is learned").default(false),
  meter_readings: z.array(meterReadingSchema, "a list of readings").optional(),
  outages: z.array(outageSchema, "a list of outages").default([]),
  /** What it needs to run: dust extraction, a circuit it shares with others. */
  needs: z
    .record(
      z.string(),
      z.union([z.boolean(), z.number(), z.string()], "true, a number or text"),
      "needs like {dust: true, circuit: 20A}",
    )
    .default({}),
  parts: z.array(partSchema, "a list of parts").default([]),
  note: word("text").optional(),
});

const spans = oneOrMore(spanWord, 'hours like ["18:00-22:00"]');
const closedOrSpans = z
  .union([spanWord, z.array(spanWord)], 'hours like ["18:00-22:00"]')
  .transform((value) => (Array.isArray(value) ? value : [value]));

const weekSchema = strict(
  'days and hours like {tue: ["18:00-22:00"]}',
  Object.fromEntries(WEEKDAYS.map((day) => [day, closedOrSpans.optional()])) as Record<
    Weekday,
    z.ZodOptional<typeof closedOrSpans>
  >,
);

export const exceptionSchema = strict("an exception like {date: 2026-12-25, closed: true}", {
  date: dateWord.optional(),
  from: dateWord.optional(),
  /** That day belongs to it. */
  until: dateWord.optional(),
  closed: z.literal(true, "true, or no word of closed").optional(),
  staffed: spans.optional(),
  member: spans.optional(),
  reason: word("text").optional(),
})
  .refine(
    ({ date, from, until }) =>
      date === undefined ? from !== undefined && until !== undefined : from === undefined && until === undefined,
    "either date, or from and until",
  )
  .refine(
    ({ closed, staffed, member }) => (closed === undefined) !== (staffed === undefined && member === undefined),
    "either closed: true, or staffed or member hours",
  );

export const hoursSchema = strict('hours like {staffed: {tue: ["18:00-22:00"]}}', {
  staffed: weekSchema.default({}),
  member: weekSchema.default({}),
  /** Each replaces its whole days; of two for one day the later in the file holds. */
  exceptions: z.array(exceptionSchema, "a list of exceptions").default([]),
});

const CURRENCIES = new Set(Intl.supportedValuesOf("currency"));

const url = (expected: string, protocols: readonly string[]) =>
  z.string(expected).refine((text) => URL.canParse(text) && protocols.includes(new URL(text).protocol), expected);

export const mqttSchema = strict("a broker like {url: mqtt://broker.lan, topic: workshop/#}", {
  url: url("an address like mqtt://broker.lan:1883", ["mqtt:", "mqtts:", "ws:", "wss:"]),
  topic: oneOrMore(word("a topic like workshop/#"), "a topic or a list of topics"),
  profile: word("a profile's file").optional(),
  client_id: word("text").optional(),
  username: word("text").optional(),
  password_file: word("a file with the password").optional(),
  ca_file: word("a file with the broker's certificate authority").optional(),
  qos: z.union([z.literal(0), z.literal(1), z.literal(2)], "0, 1 or 2").default(1),
});

export const workshopSchema = strict("a workshop file", {
  workshop: strict("the workshop like {name: Quarry Street Workshop, zone: America/Halifax}", {
    name: word("the workshop's name"),
    zone: zoneWord,
    currency: z
      .string("a currency like CAD or EUR")
      .refine((code) => CURRENCIES.has(code), "a currency like CAD or EUR")
      .optional(),
    /** How many jumpers set a station's numeric address. */
    address_bits: whole("jumpers", 1, 16).optional(),
  }),
  /** How its logs are read, where not by the house format. */
  profile: word("a profile's file").optional(),
  hours: hoursSchema.optional(),
  rooms: z
    .array(
      strict("a room like {id: wood, name: Wood room}", { id: idWord("a room's id"), name: word("text").optional() }),
      "a list of rooms",
    )
    .default([]),
  machines: z.array(machineSchema, "a list of machines").default([]),
  roster: word("a roster's file").optional(),
  findings: findingsSchema.default({}),
  demand: strict("demand's switches like {patience_minutes: 15}", {
    /** How long one waits for a machine that is taken before leaving. */
    patience_minutes: above0("minutes").default(15),
  }).default({ patience_minutes: 15 }),
  privacy: strict("privacy like {badges: hashed, keep_badges_months: 24}", {
    badges: z.enum(["hashed", "kept"], "hashed or kept").default("hashed"),
    keep_badges_months: whole("months", 1).optional(),
  }).default({ badges: "hashed" }),
  /** The nightly backup, made by `serve`. */
  backup: strict('a nightly backup like {folder: backups, at: "03:00", keep: 14}', {
    folder: word("a folder").default("backups"),
    at: z
      .string('a time of day like "03:00"')
      .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a time of day like "03:00"')
      .default("03:00"),
    keep: whole("backups to keep", 1).default(14),
  }).optional(),
  watch: strict("what to watch, like {folder: inbox}", {
    folder: word("a folder").optional(),
    mqtt: mqttSchema.optional(),
    mail: strict("mail like {smtp: smtp://mail.lan, to: board@example.org}", {
      smtp: url("an address like smtp://mail.lan:587", ["smtp:", "smtps:"]),
      to: oneOrMore(word("a mail address"), "a mail address or a list of them"),
      from: word("a mail address").optional(),
      username: word("text").optional(),
      password_file: word("a file with the password").optional(),
      digest: strict("addresses by role like {maintenance: bench@example.org}", {
        maintenance: oneOrMore(word("a mail address"), "a mail address or a list of them").optional(),
        board: oneOrMore(word("a mail address"), "a mail address or a list of them").optional(),
        safety: oneOrMore(word("a mail address"), "a mail address or a list of them").optional(),
        steward: oneOrMore(word("a mail address"), "a mail address or a list of them").optional(),
      }).optional(),
    }).optional(),
    webhook: strict("a webhook like {url: https://…, secret_file: hook.key}", {
      url: url("an address like https://example.org/hook", ["http:", "https:"]),
      secret_file: word("a file with the secret").optional(),
    }).optional(),
  }).default({}),
});

export type Workshop = z.output<typeof workshopSchema>;
export type Machine = Workshop["machines"][number];
export type Part = Machine["parts"][number];
export type Task = Part["tasks"][number];
export type StationSpan = NonNullable<Machine["stations"]>[number];
export type OpeningException = NonNullable<Workshop["hours"]>["exceptions"][number];

/** How a machine's hours come about; the first that the file gives. */
export type MachineKind = "stations" | "driven" | "always-on" | "meter";

export function kindOfMachine(machine: Pick<Machine, "stations" | "driven_by" | "always_on">): MachineKind {
  if (machine.stations !== undefined) return "stations";
  if (machine.driven_by !== undefined) return "driven";
  return machine.always_on ? "always-on" : "meter";
}

const WRITTEN_KEYS = new Set(
  "id station group room class name fitted from until date time reason unit note who isolate source username client_id topic to".split(
    " ",
  ),
);

/** Places of the workshop file whose scalars are text as written: a station `00417` is not `417`. */
export function isWrittenInWorkshop(path: readonly (string | number)[]): boolean {
  const [last, before] = [path.at(-1), path.at(-2)];
  if (typeof last === "string") return WRITTEN_KEYS.has(last);
  return ["stations", "resets", "driven_by", "topic", "to"].includes(String(before)) || path.includes("exempt");
}
