// Why a line is rejected, in words: the value, then what would do.
import type { Profile, ProfileTimeField } from "../../shared/profile.ts";
import { fieldAt, nameOfPlace, type Place } from "../reading/fields.ts";

export interface Reason {
  /** As the staged rows have it. */
  state: string;
  /** Our name of the field at fault, where it is one. */
  field: string | null;
  /** `{value}` stands for the value at fault. */
  reason: string;
}

/** Every way to be rejected, with the words for it. */
export function reasonsOf(profile: Profile, width: number): Reason[] {
  const start = nameOfPlace(profile, "time");
  const columns = width > 0 ? `the ${width} of the header` : "as many as the profile asks for";
  const badDate = (field: string, place: Place): string =>
    `${field} {value} is no date; expected ${expectedStamp(fieldAt(profile, place) as ProfileTimeField)}`;
  const early = (field: string): string =>
    `${field} {value} is before ${profile.earliest} (earliest): the year is cut or the clock was not set; add_years in the profile repairs a cut year`;
  const gap = (field: string): string =>
    `${field} {value} does not exist: spring leaves this hour out; impossible: shift in the profile moves it on`;
  const twice = (field: string): string =>
    `${field} {value} happened twice in autumn, and nothing tells which of the two is meant`;
  const words = Object.keys(profile.fields.event?.map ?? {});
  const known = words.length > 0 ? words.join(", ") : "enable, release, refuse, boot, alive, motor-on, motor-off, change";
  const reasons: [string, string | null, string][] = [
    [
      "quote",
      null,
      "a quote opens a field and nothing closes it as it should; expected a closing quote before the next delimiter, within 64 KiB",
    ],
    ["long", null, "longer than 1 MiB; expected a line of a log"],
    ["json", null, "no JSON object; expected one in braces"],
    ["width", null, `has {value} cells; expected ${columns}`],
    ["time-missing", "time", "time is empty; expected a stamp"],
    ["time", "time", badDate("time", "time")],
    ["station-missing", "station", "station is empty; expected its address"],
    ["event-missing", "event", "event is empty; expected a word for what happened"],
    ["event", "event", `event {value} is neither mapped nor ignored; expected one of ${known}`],
    ["sequence", "sequence", "sequence {value} is no counter; expected a whole number"],
    ["gap", "time", gap("time")],
    ["twice", "time", twice("time")],
    [
      "unset",
      "time",
      `time {value} comes from a clock that was not set (before ${profile.earliest}), and no good line before or behind it tells when it was`,
    ],
    ["start-missing", start, `${start} is empty; expected a stamp`],
    ["start", start, badDate(start, "time")],
    ["finish", "finish", badDate("finish", "finish")],
    ["duration", "duration", "duration {value} is no length of time; expected a number"],
    ["start-early", start, early(start)],
    ["finish-early", "finish", early("finish")],
    ["start-gap", start, gap(start)],
    ["finish-gap", "finish", gap("finish")],
    ["start-twice", start, twice(start)],
    ["finish-twice", "finish", twice("finish")],
    [
      "backwards",
      profile.fields.finish === undefined ? "duration" : "finish",
      "finish {value} is before the start; expected one behind it",
    ],
  ];
  return reasons.map(([state, field, reason]) => ({ state, field, reason }));
}

const NAMES: Record<string, string> = {
  Y: "yyyy",
  y: "yy",
  m: "mm",
  d: "dd",
  H: "hh",
  M: "mm",
  S: "ss",
  f: "ffffff",
  g: "ms",
  I: "hh (1 to 12)",
  p: "AM or PM",
  b: "month",
  B: "month",
  a: "day",
  A: "day",
  z: "±hhmm",
  "-d": "d",
  "-m": "m",
  "-H": "h",
  j: "day of the year",
};

function expectedStamp(field: ProfileTimeField | undefined): string {
  if (field?.unit !== undefined) return `a count of ${field.unit === "ms" ? "milliseconds" : "seconds"} up to the year 2199`;
  if (field?.format === undefined) return "yyyy-mm-dd hh:mm:ss up to the year 2199";
  return field.format.replace(/%(-?[a-zA-Z])/g, (written, letter: string) => NAMES[letter] ?? written);
}
