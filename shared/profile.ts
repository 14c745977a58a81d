// The log profile: how an unknown log is read. A YAML file beside the workshop's, or the house format where there is none.
import * as z from "zod";
import { type Problem, tidyProblems, usageErrorFromProblems } from "./problem.ts";
import { dateWord, oneOrMore, strict, whole, word, zoneWord } from "./words.ts";
import { loadYaml, readBySchema, type YamlFile, yamlFromText } from "./yaml-file.ts";

/** Kinds of event, as the domain names them. */
export const EVENT_KINDS = ["enable", "release", "refuse", "boot", "alive", "motor-on", "motor-off", "change"] as const;
export type EventKind = (typeof EVENT_KINDS)[number];

export const LOG_FORMATS = ["csv", "tsv", "ndjson", "json", "parquet"] as const;
export type LogFormat = (typeof LOG_FORMATS)[number];

const COLUMN = "a column's name (of JSON a path like sessionInfo.user; of a file without header its number)";

/** Where a value comes from: exactly one of these. Several columns are joined by a blank (a date and a time of day). */
const origin = {
  column: oneOrMore(word(COLUMN), COLUMN).optional(),
  /** The level of the MQTT topic it is, counted from 1. */
  topic: whole("a level of the topic", 1).optional(),
  /** The whole MQTT payload is the value. */
  payload: z.literal(true, "true, or no word of payload").optional(),
  /** The same for every line. */
  value: word("text").optional(),
};

const EXACTLY_ONE = "exactly one of column, topic, payload, value";
const hasOneOrigin = (field: { [key in keyof typeof origin]?: unknown }): boolean =>
  [field.column, field.topic, field.payload, field.value].filter((part) => part !== undefined).length === 1;

/** A field may be the bare name of its column, or of its columns. */
const spelledOut = (value: unknown): unknown => (typeof value === "string" || Array.isArray(value) ? { column: value } : value);

function fieldSchema<Shape extends z.core.$ZodLooseShape>(expected: string, more: Shape) {
  const full = strict(expected, { ...origin, ...more }).refine(hasOneOrigin as (field: unknown) => boolean, EXACTLY_ONE);
  return z.preprocess(spelledOut, full);
}

const DECIMAL = "the decimal mark: . or ,";
const decimal = z.enum([".", ","], DECIMAL).default(".");

const timeSchema = strict("a time like {column: When} or just When", {
  ...origin,
  /** The moment at which the server heard it; of live sources only. */
  arrival: z.literal(true, "true, or no word of arrival").optional(),
  /** As strptime writes it; ISO 8601 where not given. */
  format: word('a format like "%d/%m/%Y %H:%M:%S"').optional(),
  /** A count of seconds or milliseconds since `origin`. */
  unit: z.enum(["s", "ms"], "s or ms").optional(),
  origin: dateWord.optional(),
  decimal,
  /** Added to the year: a clock that lost a century, a counter that rolled over. */
  add_years: z
    .int("years, a whole number")
    .min(-2100, "years from -2100 to 2100")
    .max(2100, "years from -2100 to 2100")
    .optional(),
})
  .refine(
    (field) =>
      field.arrival === true
        ? [field.column, field.topic, field.payload, field.value].every((part) => part === undefined)
        : hasOneOrigin(field),
    EXACTLY_ONE,
  )
  .refine((field) => field.format === undefined || field.unit === undefined, "either format or unit")
  .refine((field) => field.origin === undefined || field.unit !== undefined, "unit (s or ms) beside origin");

const timeField = z.preprocess(spelledOut, timeSchema);

const plainField = fieldSchema("a field like {column: Unit} or just Unit", {});

const KIND = `one of ${EVENT_KINDS.join(", ")}`;
const eventField = fieldSchema("an event like {column: Action, map: {IN: enable}} or just Action", {
  /** Theirs to ours. Without it, their words are ours. */
  map: z.record(z.string(), z.enum(EVENT_KINDS, KIND), "a map like {IN: enable, OUT: release}").optional(),
  /** Words that are read and left aside, but counted. */
  ignore: z.array(z.string("a word of the log"), "a list of words like [PING]").default([]),
});

const durationField = fieldSchema("a duration like {column: Length, unit: minutes}", {
  unit: z.enum(["hours", "minutes", "seconds"], "hours, minutes or seconds").default("seconds"),
  decimal,
});

const ENCODINGS: Record<string, string> = {
  "utf-8": "utf-8",
  utf8: "utf-8",
  "latin-1": "latin1",
  latin1: "latin1",
  "iso-8859-1": "latin1",
  "windows-1252": "windows-1252",
  "utf-16": "utf-16le",
  "utf-16le": "utf-16le",
  "utf-16be": "utf-16be",
};

/** The label by which TextDecoder knows a profile's encoding. */
export const decoderLabel = (encoding: string): string => ENCODINGS[encoding.toLowerCase()] ?? encoding;

const ENCODING = `one of ${["utf-8", "latin-1", "windows-1252", "utf-16", "utf-16be"].join(", ")}`;
const FORMAT = `one of ${LOG_FORMATS.join(", ")}, or with .gz behind it`;
const DELIMITER = 'one character like ";", tab, or spaces (runs of white space)';
const oneCharacter = (text: string): boolean => [...text].length === 1;

const fieldsSchema = strict("fields, ours: theirs", {
  time: timeField.optional(),
  station: plainField.optional(),
  event: eventField.optional(),
  badge: plainField.optional(),
  sequence: plainField.optional(),
  detail: plainField.optional(),
  start: timeField.optional(),
  finish: timeField.optional(),
  duration: durationField.optional(),
});

export const profileSchema = strict("a log profile", {
  profile: word("the profile's name"),
  format: z
    .string(FORMAT)
    .refine((text) => (LOG_FORMATS as readonly string[]).includes(text.replace(/\.gz$/, "")), FORMAT)
    .transform((text) => text.replace(/\.gz$/, "") as LogFormat),
  delimiter: z
    .string(DELIMITER)
    .transform((text) => (text === "tab" ? "\t" : text))
    .refine((text) => text === "spaces" || (oneCharacter(text) && !/[\r\n]/.test(text)), DELIMITER)
    .optional(),
  quote: z
    .string('one character, or "" for none')
    .refine((text) => text === "" || oneCharacter(text), 'one character, or "" for none')
    .optional(),
  header: z.boolean("true or false: whether the first line names the columns").optional(),
  skip_lines: whole("lines before the header", 0).default(0),
  comment: word("the text that a line left aside begins with").optional(),
  encoding: z
    .string(ENCODING)
    .refine((text) => text.toLowerCase() in ENCODINGS, ENCODING)
    .default("utf-8"),
  /** Cells that mean nothing, beside the empty one. */
  null_values: z.array(z.string("text"), 'a list of words like ["-", "NULL"]').default([]),
  rows: z.enum(["events", "sessions"], "events or sessions").default("events"),
  /** For stamps without an offset; the workshop's where not given. */
  zone: zoneWord.optional(),
  /** Stamps before this year come from a clock that was not set. */
  earliest: whole("a year", 1970, 2199).default(2000),
  fields: fieldsSchema,
  /** How a stretch ends: by its station's own word, or because the badge is read somewhere else. */
  ends: z.enum(["station", "badge-elsewhere"], "station or badge-elsewhere").default("station"),
  /** Stamps in the hour that spring leaves out: told as rejects, or moved on by the hour. */
  impossible: z.enum(["reject", "shift"], "reject or shift").default("reject"),
});

type Parsed = z.output<typeof profileSchema>;

/** A profile as read, what it leaves open filled in. */
export interface Profile extends Omit<Parsed, "delimiter" | "quote" | "header"> {
  /** One character, or `spaces`. Means nothing for json, ndjson and parquet. */
  delimiter: string;
  /** One character, or empty for none. */
  quote: string;
  header: boolean;
}
export type ProfileFields = Profile["fields"];
export type ProfileField = NonNullable<ProfileFields["station"]>;
export type ProfileTimeField = NonNullable<ProfileFields["time"]>;
export type ProfileEventField = NonNullable<ProfileFields["event"]>;
export type ProfileDurationField = NonNullable<ProfileFields["duration"]>;

/** Reads a profile. Throws UsageError with its first problem, or where it can't be opened. */
export function loadProfile(path: string): Profile {
  const { profile, problems } = readProfile(loadYaml(path, { field: "profile", isWritten: isWrittenInProfile }));
  if (profile === undefined || problems.length > 0) throw usageErrorFromProblems(problems);
  return profile;
}

/** As `loadProfile`, from a text at hand; `name` stands for its file in problems. */
export function profileFromText(name: string, text: string): Profile {
  const { profile, problems } = readProfile(yamlFromText(name, text, { field: "profile", isWritten: isWrittenInProfile }));
  if (profile === undefined || problems.length > 0) throw usageErrorFromProblems(problems);
  return profile;
}

/** Every problem of a profile in one go. Throws UsageError where it can't be opened. */
export function problemsOfProfile(path: string): Problem[] {
  return readProfile(loadYaml(path, { field: "profile", isWritten: isWrittenInProfile })).problems;
}

function readProfile(file: YamlFile): { profile: Profile | undefined; problems: Problem[] } {
  const { value, problems } = readBySchema(file, profileSchema);
  const all = tidyProblems([...problems, ...fieldProblems(file)]);
  return { profile: value === undefined || all.length > 0 ? undefined : filledIn(value), problems: all };
}

function filledIn(parsed: Parsed): Profile {
  return {
    ...parsed,
    delimiter: parsed.delimiter ?? (parsed.format === "tsv" ? "\t" : ","),
    quote: parsed.quote ?? '"',
    header: parsed.header ?? true,
  };
}

/** Which fields a log of this kind needs, and which it can't have. */
function fieldProblems(file: YamlFile): Problem[] {
  const raw = file.raw;
  if (typeof raw !== "object" || raw === null || !("fields" in raw) || typeof raw.fields !== "object" || raw.fields === null)
    return [];
  const given = new Set(Object.keys(raw.fields));
  const isSessions = "rows" in raw && raw.rows === "sessions";
  const endsElsewhere = "ends" in raw && raw.ends === "badge-elsewhere";
  const wanted = isSessions ? ["station"] : ["time", "station", ...(endsElsewhere ? ["badge"] : ["event"])];
  const foreign = isSessions ? ["time", "event"] : ["start", "finish", "duration"];
  const problems = wanted
    .filter((field) => !given.has(field))
    .map((field) =>
      file.problem(["fields", field], `a column for ${field}, which a log of ${isSessions ? "sessions" : "events"} needs`),
    );
  if (isSessions && !given.has("start") && !(given.has("finish") && given.has("duration"))) {
    problems.push(file.problem(["fields", "start"], "a column for start, or for both finish and duration"));
  }
  for (const field of foreign.filter((name) => given.has(name))) {
    problems.push(
      file.problem(
        ["fields", field],
        `no ${field} in a log of ${isSessions ? "sessions" : "events"} (rows: ${isSessions ? "events" : "sessions"} has it)`,
      ),
    );
  }
  return problems;
}

/** Everything that is a word of the log is text as written. */
function isWrittenInProfile(path: readonly (string | number)[]): boolean {
  const [first, , third] = path;
  if (first === "fields") {
    const isBareColumn = third === undefined || typeof third === "number";
    return isBareColumn || ["column", "value", "ignore", "format", "origin"].includes(third);
  }
  return ["profile", "delimiter", "quote", "comment", "null_values", "encoding", "zone"].includes(String(first));
}

/** The house format: the columns or keys are named as the events are, and times are ISO 8601. */
export function houseProfile(format: "csv" | "ndjson"): Profile {
  const column = (name: string) => ({ column: [name] });
  return filledIn(
    profileSchema.parse({
      profile: "house",
      format,
      fields: Object.fromEntries(["time", "station", "event", "badge", "sequence", "detail"].map((name) => [name, column(name)])),
    }),
  );
}
