// Where each of our fields comes from in a record: one column or several joined by a blank, a level of the topic, the payload, or
// always the same. Our fields have fixed places, the same in logs of events and of sessions, so that one set of questions does.
import { UsageError } from "../../shared/errors.ts";
import type { Profile, ProfileField } from "../../shared/profile.ts";

/** The places of our fields in a row of the spool, from 1; `time` is the start in a log of sessions. */
export const PLACES = ["time", "finish", "duration", "station", "event", "badge", "sequence", "detail"] as const;
export type Place = (typeof PLACES)[number];

/** Columns of the file for each place, as numbers from 0 or as paths into JSON. Empty where the field comes from elsewhere. */
export type Columns = Record<Place, number[]>;

/** What a live message brings beside its text. */
export interface Envelope {
  topic?: string;
  arrivedAt?: Date;
}

/** The profile's word on each place. */
export function fieldAt(profile: Profile, place: Place): (ProfileField & { arrival?: true | undefined }) | undefined {
  const { fields } = profile;
  return place === "time" ? (profile.rows === "sessions" ? fields.start : fields.time) : fields[place];
}

/** The name by which a profile calls the field at a place. */
export const nameOfPlace = (profile: Profile, place: Place): string =>
  place === "time" && profile.rows === "sessions" ? "start" : place;

/** In the house format a log may leave out what it doesn't know. */
const isOptional = (profile: Profile, place: Place): boolean =>
  profile.profile === "house" && (place === "badge" || place === "sequence" || place === "detail");

/** Finds the profile's columns in a file's header, or by number where it has none. Throws UsageError for one that is lacking. */
export function columnsFromHeader(profile: Profile, header: readonly string[] | null, file: string): Columns {
  const names = header?.map((name) => name.trim());
  const columnOf = (place: Place, column: string): number[] => {
    const at = names?.indexOf(column.trim()) ?? (/^[1-9]\d*$/.test(column) ? Number(column) - 1 : -1);
    if (at !== -1) return [at];
    if (isOptional(profile, place)) return [];
    throw lacking(profile, place, column, file, names);
  };
  return Object.fromEntries(
    PLACES.map((place) => [place, (fieldAt(profile, place)?.column ?? []).flatMap((column) => columnOf(place, column))]),
  ) as Columns;
}

function lacking(profile: Profile, place: Place, column: string, file: string, names: readonly string[] | undefined): UsageError {
  const have =
    names === undefined
      ? "a column's number, since the file has no header"
      : `one of the file's columns: ${names.slice(0, 40).join(", ")}`;
  return new UsageError({ field: `fields.${nameOfPlace(profile, place)}`, value: column, expected: have, file });
}

/** The cells of a record in the order of PLACES; null where it has none. */
export function placedCells(
  profile: Profile,
  cell: (place: Place, index: number, column: string) => string | null,
  text: string,
  envelope: Envelope,
): (string | null)[] {
  return PLACES.map((place) => {
    const field = fieldAt(profile, place);
    if (field === undefined) return null;
    if (field.value !== undefined) return field.value;
    if (field.payload === true) return text;
    if (field.topic !== undefined) return envelope.topic?.split("/")[field.topic - 1] ?? null;
    if (field.arrival === true) return envelope.arrivedAt?.toISOString() ?? null;
    const parts = (field.column ?? []).map((column, index) => cell(place, index, column));
    const known = parts.filter((part) => part !== null);
    return known.length === 0 ? null : known.join(" ");
  });
}

/** The house format asks for three fields; a log in JSON must have shown each column of a profile at least once. */
export class KeysSeen {
  #profile: Profile;
  #missing: Map<string, Place>;
  #seen = 0;

  constructor(profile: Profile) {
    this.#profile = profile;
    this.#missing = new Map(
      PLACES.filter((place) => !isOptional(profile, place)).flatMap((place) =>
        (fieldAt(profile, place)?.column ?? []).map((column) => [column, place] as const),
      ),
    );
  }

  /** Whether any column is still to be seen: no need to look where none is. */
  get isWaiting(): boolean {
    return this.#missing.size > 0;
  }

  note(has: (column: string) => boolean): void {
    this.#seen++;
    for (const column of this.#missing.keys()) if (has(column)) this.#missing.delete(column);
  }

  /** Throws UsageError where records were read and a column was in none of them. */
  check(file: string): void {
    const [first] = this.#missing;
    if (this.#seen === 0 || first === undefined) return;
    const [column, place] = first;
    throw new UsageError({
      field: `fields.${nameOfPlace(this.#profile, place)}`,
      value: column,
      expected: "a key that the file's records have",
      file,
    });
  }
}
