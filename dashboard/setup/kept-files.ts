// Files that the Setup leaf writes for their owner: whole or not at all, and what stood there before is kept beside them.
import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { mkdir, readdir, rm, writeFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import writeFileAtomic from "write-file-atomic";
import { ConflictError, UsageError } from "../../shared/errors.ts";
import { loadText } from "../../shared/text-file.ts";

/** What a file was like before a change. */
export interface KeptVersion {
  /** The name of the kept copy: the file's own and the moment of the change that replaced it. */
  version: string;
  file: string;
  /** When it was replaced. */
  until: string;
}

const mostKept = 60;
const folderOf = (path: string): string => join(dirname(path), "earlier-versions");

/** Tells one text from another; null where there is no file. */
export const markOf = (text: string | null): string | null =>
  text === null ? null : createHash("sha256").update(text).digest("hex").slice(0, 16);

export const textOrNull = (path: string, field: string): string | null => (existsSync(path) ? loadText(path, field) : null);

/**
 * Writes `text` as the file, through a copy that is renamed into its place, and keeps what it replaces. `mark` is that of the text
 * the writer has seen. Throws ConflictError where the file is another by now.
 */
export async function writeKept(path: string, text: string, mark: string | null, now: Date): Promise<void> {
  const before = textOrNull(path, "file");
  if (markOf(before) !== mark)
    throw new ConflictError(
      {
        field: "mark",
        value: mark,
        expected: "the file as you saw it",
        message: `${basename(path)} was changed meanwhile; look at it again, then make your change`,
      },
      { mark: markOf(before) },
    );
  if (before === text) return;
  if (before !== null) await keep(path, before, now);
  await writeFileAtomic(path, text, { encoding: "utf8" });
}

async function keep(path: string, text: string, now: Date): Promise<void> {
  const folder = folderOf(path);
  await mkdir(folder, { recursive: true });
  let moment = now;
  let name = nameAt(path, moment);
  for (; existsSync(join(folder, name)); name = nameAt(path, moment)) moment = new Date(moment.getTime() + 1);
  await writeFile(join(folder, name), text, { flag: "wx" });
  const kept = await versionsOf(path);
  for (const { version } of kept.slice(mostKept)) await rm(join(folder, version));
}

const nameAt = (path: string, moment: Date): string => `${basename(path)}.${moment.toISOString().replaceAll(":", "-")}`;

/** The kept versions of a file, the latest first. */
export async function versionsOf(path: string): Promise<KeptVersion[]> {
  const folder = folderOf(path);
  if (!existsSync(folder)) return [];
  const file = basename(path);
  const names = (await readdir(folder)).filter((name) => name.startsWith(`${file}.`) && /T\d\d-\d\d-\d\d\.\d{3}Z$/.test(name));
  return names
    .sort()
    .reverse()
    .map((version) => {
      const [day = "", clock = ""] = version.slice(file.length + 1).split("T");
      return { version, file, until: `${day}T${clock.replaceAll("-", ":")}` };
    });
}

/** The text of a kept version. Throws UsageError where there is none of that name. */
export async function textOfVersion(path: string, version: string): Promise<string> {
  const known = await versionsOf(path);
  if (!known.some((each) => each.version === version))
    throw new UsageError({
      field: "version",
      value: version,
      expected:
        known.length === 0 ? "an earlier version; there is none yet" : `one of ${known.map((each) => each.version).join(", ")}`,
    });
  return readFileSync(join(folderOf(path), version), "utf8");
}
