// The workshop file and the two files it names: loaded whole and sound, or every problem of them told in one go.
import { createHash } from "node:crypto";
import { dirname, isAbsolute, join } from "node:path";
import { UsageError } from "./errors.ts";
import { type Problem, tidyProblems, usageErrorFromProblems } from "./problem.ts";
import { problemsOfProfile } from "./profile.ts";
import { loadRoster, type RosterRow } from "./roster.ts";
import { namesForRoster, problemsBetween } from "./workshop-rules.ts";
import { isWrittenInWorkshop, type Workshop, workshopSchema } from "./workshop-schema.ts";
import { loadYaml, readBySchema, valueAt, type YamlFile } from "./yaml-file.ts";

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
}

/**
 * The workshop file at `path` with its roster. Throws UsageError with the first problem of the two, and how many more the command
 * `check` would list. The profile is read where a log is: `loadProfile(profilePath)`.
 */
export function loadWorkshop(path: string): WorkshopFile {
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

/** Every problem of a workshop file, its profiles and its roster. Throws UsageError where the workshop file can't be opened. */
export function problemsOf(path: string): Problem[] {
  const file = openWorkshop(path);
  const { problems } = readBySchema(file, workshopSchema);
  const profiles = ([["profile"], ["watch", "mqtt", "profile"]] as const).flatMap((place) =>
    besides(file, place, (named) => problemsOfProfile(named)),
  );
  return tidyProblems([...problems, ...problemsBetween(file), ...profiles, ...rosterBeside(file).problems]);
}

/** A path in the workshop file is from the file's own folder. */
export const pathBeside = (workshopPath: string, named: string): string =>
  isAbsolute(named) ? named : join(dirname(workshopPath), named);

const openWorkshop = (path: string): YamlFile => loadYaml(path, { field: "workshop", isWritten: isWrittenInWorkshop });

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
