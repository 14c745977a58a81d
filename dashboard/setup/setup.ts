// What the Setup leaf shows and does: the workshop file as it stands, changes to it looked over before they are written, logs read.
import { basename, dirname, join } from "node:path";
import { CATALOGUE } from "../../analytics/index.ts";
import { type SniffSettings, sniffFile, tryProfile } from "../../ingest/index.ts";
import {
  ask,
  editedWorkshop,
  loadWorkshop,
  type Problem,
  problemsOfText,
  profileFromText,
  question,
  rawWorkshop,
  UsageError,
  type WorkshopEdit,
} from "../../shared/index.ts";
import type { Answer, Desk, Row } from "../commands/command.ts";
import { readFiles } from "../reading.ts";
import { type ChangedLine, changedLines } from "./changed-lines.ts";
import { markOf, textOfVersion, textOrNull, versionsOf, writeKept } from "./kept-files.ts";
import { startingFile } from "./starting-file.ts";
import { forgetUpload, uploadOf } from "./uploads.ts";

const unclaimedStations = question(import.meta.url, "./unclaimed-stations.sql");
const shownRows = 6;

/** Everything the leaf shows. */
export async function setupAsItStands({ connection, workshop, span }: Desk): Promise<Answer> {
  const { path } = workshop;
  const text = textOrNull(path, "workshop");
  const problems = text === null ? [] : problemsOfText(path, text);
  const raw = text === null ? null : (rawWorkshop(path, text) ?? null);
  const stations = workshop.isBlank ? [] : await ask<Row>(connection, unclaimedStations, { zone: span.zone });
  const kept = await versionsOf(path);
  return {
    head: {
      file: basename(path),
      folder: dirname(path),
      state: text === null ? "none" : workshop.isBlank ? "faulty" : "sound",
      zone: span.zone,
      text: text ?? "",
      mark: markOf(text),
      problems: problems.map(tellable),
      words: raw,
      profile:
        workshop.profilePath === null
          ? null
          : { file: basename(workshop.profilePath), text: textOrNull(workshop.profilePath, "profile") },
      stations,
      classes: usualTasks(),
    },
    list: { name: "kept", rows: kept as unknown as Row[] },
  };
}

/** What is usually done to each class of part, as it may stand in the workshop file. */
function usualTasks(): { class: string; tasks: Record<string, unknown>[] }[] {
  const inFile = (limits: Record<string, number> | undefined) =>
    limits && Object.fromEntries(Object.entries(limits).map(([unit, amount]) => [unit.replace("-", "_"), amount]));
  return [...new Set(CATALOGUE.map((task) => task.class))].map((name) => ({
    class: name,
    tasks: CATALOGUE.filter((task) => task.class === name).map(
      ({ task, every, first_after, reading, at_most, resets, who, source }) =>
        JSON.parse(
          JSON.stringify({
            id: task,
            first_after: inFile(first_after),
            every: inFile(every),
            reading,
            at_most,
            resets,
            who,
            source: source ?? undefined,
          }),
        ),
    ),
  }));
}

/** A problem without the folder of its file: the page says which file it is. */
const tellable = (problem: Problem): Row => ({ ...problem, file: basename(problem.file) });

export interface Change {
  /** Edits by place, or the whole text anew, or a kept version put back. */
  edits?: readonly WorkshopEdit[] | undefined;
  text?: string | undefined;
  version?: string | undefined;
  /** Of the text that the change was made on. */
  mark: string | null;
  accept: boolean;
}

/** Looks a change over: its problems and its lines; writes it where it is accepted and has no problem. */
export async function changeWorkshop({ workshop: { path } }: Desk, change: Change, now: Date): Promise<Answer> {
  const before = textOrNull(path, "workshop");
  if (markOf(before) !== change.mark)
    throw new UsageError({
      field: "mark",
      value: change.mark,
      expected: "the file as it stands",
      message: `${basename(path)} was changed meanwhile; load the page again, then make your change`,
    });
  const text = await changedText(path, before ?? "", change);
  const problems = problemsOfText(path, text);
  const lines: ChangedLine[][] = changedLines(before ?? "", text);
  const isWritten = change.accept && problems.length === 0 && text !== before;
  if (isWritten) await writeKept(path, text, change.mark, now);
  return {
    head: {
      isWritten,
      isSame: text === before,
      mark: isWritten ? markOf(text) : change.mark,
      problems: problems.map(tellable),
      changes: lines,
      text,
    },
    trail: isWritten ? { places: placesOf(change), version: change.version ?? null } : null,
    text: humanText(problems, lines, isWritten),
  };
}

async function changedText(path: string, before: string, { edits, text, version }: Change): Promise<string> {
  if (version !== undefined) return textOfVersion(path, version);
  if (text !== undefined) return text;
  return editedWorkshop(before, edits ?? []);
}

const placesOf = ({ edits, text }: Change): string[] =>
  text !== undefined ? ["the whole file"] : (edits ?? []).map(({ path }) => path.join("."));

function humanText(problems: readonly Problem[], changes: readonly ChangedLine[][], isWritten: boolean): string {
  const lines = changes.map((piece) => piece.map(({ sign, text }) => `${sign} ${text}\n`).join("")).join("…\n");
  const told = problems.map(({ line, path, expected }) => `line ${line}: ${path}: expected ${expected}\n`).join("");
  const end = isWritten
    ? "written; the file as it was is kept in earlier-versions\n"
    : problems.length > 0
      ? "not written: it would have these problems\n"
      : changes.length === 0
        ? "this changes nothing\n"
        : 'not written yet: say "accept": true\n';
  return lines + told + end;
}

export interface DroppedLog {
  upload: string;
  /** The profile as its reader mended it; null where the workshop's own, or the house format, does. */
  profile: string | null;
}

/** How the first rows of a dropped log would be read. Without a profile one is proposed. */
export async function lookAtLog({ store, workshop, span }: Desk, { upload, profile }: DroppedLog): Promise<Answer> {
  const { path, name, bytes } = await uploadOf(store.workDir, upload);
  const settings: SniffSettings = { rows: shownRows, zone: span.zone };
  const head = { upload, name, bytes, zone: span.zone };
  if (profile !== null) {
    const { rows, ...counts } = await tryProfile(path, name, profile, settings);
    return {
      head: { ...head, log: true, profile, questions: [], ...counts },
      list: { name: "rows", rows: rows as unknown as Row[] },
      trail: null,
    };
  }
  const own = workshop.profilePath === null ? null : textOrNull(workshop.profilePath, "profile");
  const found = await sniffFile(path, name, { ...settings, ...(workshop.isBlank ? { zone: undefined } : {}) });
  if (found.kind === "none") return { head: { ...head, log: false, why: found.why }, trail: null };
  const yaml = own ?? found.yaml;
  const { rows, ...counts } = await tryProfile(path, name, yaml, settings);
  return {
    head: { ...head, log: true, isOwn: own !== null, profile: yaml, questions: own === null ? found.questions : [], ...counts },
    list: { name: "rows", rows: rows as unknown as Row[] },
    trail: null,
  };
}

export interface Reading extends DroppedLog {
  /** Of the workshop, where there is no file yet. */
  name?: string | undefined;
  zone?: string | undefined;
  currency?: string | undefined;
}

/** Reads a dropped log; where there is no workshop file yet, writes one and the profile beside it first. */
export async function readLog(desk: Desk, { upload, profile, name, zone, currency }: Reading, now: Date): Promise<Answer> {
  const { store, workshop } = desk;
  const dropped = await uploadOf(store.workDir, upload);
  if (profile !== null) profileFromText("profile.yaml", profile);
  const isFirst = textOrNull(workshop.path, "workshop") === null;
  if (!isFirst && workshop.isBlank)
    throw new UsageError({
      field: "workshop",
      value: basename(workshop.path),
      expected: "a workshop file without problems; mend it first",
    });
  const written: string[] = [];
  if (profile !== null) {
    const file = workshop.profilePath ?? join(dirname(workshop.path), "profile.yaml");
    const before = textOrNull(file, "profile");
    await writeKept(file, profile, markOf(before), now);
    written.push(basename(file));
    if (!isFirst && workshop.profilePath === null) {
      const text = textOrNull(workshop.path, "workshop") ?? "";
      await writeKept(workshop.path, editedWorkshop(text, [{ path: ["profile"], value: basename(file) }]), markOf(text), now);
      written.push(basename(workshop.path));
    }
  }
  if (isFirst) {
    if (!name?.trim()) throw new UsageError({ field: "name", value: name ?? null, expected: "the workshop's name" });
    const start = {
      name: name.trim(),
      zone: zone ?? "",
      currency: currency || undefined,
      ...(profile === null ? {} : { profile: "profile.yaml" }),
    };
    const text = startingFile(start);
    const [problem] = problemsOfText(workshop.path, text);
    if (problem) throw new UsageError({ field: problem.path, value: problem.value, expected: problem.expected });
    await writeKept(workshop.path, text, null, now);
    written.push(basename(workshop.path));
  }
  const sound = loadWorkshop(workshop.path);
  const zoned = { ...desk, workshop: sound, span: { ...desk.span, zone: sound.workshop.workshop.zone } };
  const answer = await readFiles(zoned, [dropped.path], null, false, () => dropped.name);
  await forgetUpload(store.workDir, upload);
  return { ...answer, head: { ...answer.head, written }, trail: { file: dropped.name, written } };
}
