// The workshop file and the two files it names: loaded whole and sound, or every problem of them told in one go.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { dirname, isAbsolute, join } from "node:path";
import { UsageError } from "./errors.ts";
import { type Problem, tidyProblems, usageErrorFromProblems } from "./problem.ts";
import { problemsOfProfile } from "./profile.ts";
import { loadRoster, type RosterRow } from "./roster.ts";
import { namesForRoster, problemsBetween } from "./workshop-rules.ts";
import { isWrittenInWorkshop, type Workshop, workshopSchema } from "./workshop-schema.ts";
import { loadYaml, readBySchema, valueAt, type YamlFile, yamlFromText } from "./yaml-file.ts";

export interface WorkshopFile {
  path: string;
  text: string;
  workshop: Workshop;
  /** Empty where the file names no roster. */
  roster: RosterRow[];
  /** The profile that its logs are read by; null for the house format. */
  profilePath: string | null;
  /** Changes whenever the workshop file or the roster does. */
  fingerprint: string;
  /** There is no sound file at `path` yet: this stands in for it, and nothing may be derived by it. */
  isBlank?: true;
  /** Why the file that is there can't be used; null where there is none. Only of a blank one. */
  trouble?: string | null;
}

/**
 * The workshop file at `path` with its roster. Throws UsageError with the first problem of the two, and how many more the command
 * `check` would list. The profile is read where a log is: `loadProfile(profilePath)`.
 */
export function loadWorkshop(path: string): WorkshopFile {
  // A page asks several commands: while neither file has changed by a byte, what was made of them holds.
  const known = lastLoaded.get(path);
  if (known && isAsRead(path, known.bytes) && (known.rosterPath === null || isAsRead(known.rosterPath, known.rosterBytes)))
    return known.made;
  lastLoaded.delete(path);
  const bytes = bytesOf(path);
  const made = readWorkshop(path);
  const rosterPath = made.workshop.roster === undefined ? null : pathBeside(path, made.workshop.roster);
  const rosterBytes = rosterPath === null ? null : bytesOf(rosterPath);
  // Bytes that changed while they were read are read again next time.
  if (isAsRead(path, bytes)) lastLoaded.set(path, { made, bytes, rosterPath, rosterBytes });
  return made;
}

interface Loaded {
  made: WorkshopFile;
  bytes: Buffer | null;
  rosterPath: string | null;
  rosterBytes: Buffer | null;
}

const lastLoaded = new Map<string, Loaded>();

/** Null where the file can't be read: whoever reads it in earnest says why. */
function bytesOf(path: string): Buffer | null {
  try {
    return readFileSync(path);
  } catch {
    return null;
  }
}

const isAsRead = (path: string, bytes: Buffer | null): boolean => bytes !== null && (bytesOf(path)?.equals(bytes) ?? false);

function readWorkshop(path: string): WorkshopFile {
  const file = openWorkshop(path);
  const { value: workshop, problems } = readBySchema(file, workshopSchema);
  problems.push(...problemsBetween(file));
  const roster = rosterBeside(file);
  const all = tidyProblems([...problems, ...roster.problems]);
  if (workshop === undefined || all.length > 0) throw usageErrorFromProblems(all);
  return {
    path,
    text: file.text,
    workshop,
    roster: roster.rows,
    profilePath: workshop.profile === undefined ? null : pathBeside(path, workshop.profile),
    fingerprint: createHash("sha256")
      .update(JSON.stringify([file.text, roster.text]))
      .digest("hex"),
  };
}

/** What stands in for a workshop file that is not there, or has problems: no machines, and a zone of the caller's choice. */
export function blankWorkshop(path: string, zone: string, trouble: string | null = null): WorkshopFile {
  const text = `workshop: {name: A new workshop, zone: ${zone}}\n`;
  const { value } = readBySchema(yamlFromText(path, text, options), workshopSchema);
  if (value === undefined) throw new RangeError(`${zone} is no zone`);
  return { path, text, workshop: value, roster: [], profilePath: null, fingerprint: "", isBlank: true, trouble };
}

/** The words of a workshop file as they stand, problems or not: plain maps and lists; undefined where the text is no YAML. */
export const rawWorkshop = (path: string, text: string): unknown => yamlFromText(path, text, options).raw;

/** Every problem of a workshop file, its profiles and its roster. Throws UsageError where the workshop file can't be opened. */
export const problemsOf = (path: string): Problem[] => problemsOfWorkshop(openWorkshop(path));

/** As `problemsOf`, were this the file's text. */
export const problemsOfText = (path: string, text: string): Problem[] => problemsOfWorkshop(yamlFromText(path, text, options));

function problemsOfWorkshop(file: YamlFile): Problem[] {
  const { problems } = readBySchema(file, workshopSchema);
  const profiles = ([["profile"], ["watch", "mqtt", "profile"]] as const).flatMap((place) =>
    besides(file, place, (named) => problemsOfProfile(named)),
  );
  return tidyProblems([...problems, ...problemsBetween(file), ...profiles, ...rosterBeside(file).problems]);
}

/** A path in the workshop file is from the file's own folder. */
export const pathBeside = (workshopPath: string, named: string): string =>
  isAbsolute(named) ? named : join(dirname(workshopPath), named);

const options = { field: "workshop", isWritten: isWrittenInWorkshop };

const openWorkshop = (path: string): YamlFile => loadYaml(path, options);

function rosterBeside(file: YamlFile): { rows: RosterRow[]; problems: Problem[]; text: string } {
  let rows: RosterRow[] = [];
  let text = "";
  const problems = besides(file, ["roster"], (named) => {
    const roster = loadRoster(named, namesForRoster(file));
    ({ rows, text } = roster);
    return roster.problems;
  });
  return { rows, problems, text };
}

/** The problems of a file that the workshop file names; one that can't be opened is a problem of the place that names it. */
function besides(file: YamlFile, place: readonly string[], read: (path: string) => Problem[]): Problem[] {
  const named = valueAt(file.raw, place);
  if (typeof named !== "string" || named.trim() === "") return [];
  try {
    return read(pathBeside(file.path, named));
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    const { file: inFile, line, field, value, expected } = error.complaint;
    if (inFile !== undefined) return [{ file: inFile, line: line ?? 1, path: field, value, expected }];
    return [file.problem(place, expected)];
  }
}
