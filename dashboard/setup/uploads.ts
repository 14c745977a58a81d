// Logs dropped on the Setup leaf: kept in the store's work folder until they are read or forgotten.
import { randomBytes } from "node:crypto";
import { createWriteStream, existsSync } from "node:fs";
import { mkdir, readdir, rm, stat } from "node:fs/promises";
import { basename, join } from "node:path";
import { type Readable, Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import { UsageError } from "../../shared/errors.ts";

export const largestUpload = 256 * 2 ** 20;
const forgottenAfterMs = 3_600_000;

export interface Upload {
  /** By which later steps name it. */
  id: string;
  /** As its owner calls it. */
  name: string;
  path: string;
  bytes: number;
}

/** More than `largestUpload` came; what had come is gone again. */
export class TooLarge extends Error {}

const folderIn = (workDir: string): string => join(workDir, "uploads");

/** A name without any path, and with nothing that a file system or a terminal takes amiss. */
export const tidyName = (name: string): string => {
  const bare = (name.split(/[\\/]/).at(-1) ?? "").replace(/[^\p{L}\p{N}._ -]/gu, "_").replace(/^\.+/, "");
  return bare.trim().slice(-120) || "log.csv";
};

/** Takes a body in. Throws TooLarge. */
export async function keepUpload(workDir: string, named: string, body: Readable): Promise<Upload> {
  await forgetOld(workDir);
  const id = randomBytes(12).toString("hex");
  const folder = join(folderIn(workDir), id);
  await mkdir(folder, { recursive: true });
  const name = tidyName(named);
  const path = join(folder, name);
  let bytes = 0;
  const counted = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      bytes += chunk.length;
      if (bytes > largestUpload) done(new TooLarge());
      else done(null, chunk);
    },
  });
  try {
    await pipeline(body, counted, createWriteStream(path));
  } catch (error) {
    await rm(folder, { recursive: true, force: true });
    throw error;
  }
  return { id, name, path, bytes };
}

/** Throws UsageError where there is none of that id (any more). */
export async function uploadOf(workDir: string, id: string): Promise<Upload> {
  const folder = join(folderIn(workDir), /^[0-9a-f]{24}$/.test(id) ? id : "none");
  const [name] = existsSync(folder) ? await readdir(folder) : [];
  if (name === undefined)
    throw new UsageError({
      field: "upload",
      value: id,
      expected: "a log that was dropped here within the last hour; drop it again",
    });
  const path = join(folder, name);
  return { id, name: basename(name), path, bytes: (await stat(path)).size };
}

export const forgetUpload = (workDir: string, id: string): Promise<void> =>
  rm(join(folderIn(workDir), id), { recursive: true, force: true });

async function forgetOld(workDir: string): Promise<void> {
  const folder = folderIn(workDir);
  if (!existsSync(folder)) return;
  for (const id of await readdir(folder)) {
    const { mtimeMs } = await stat(join(folder, id));
    if (Date.now() - mtimeMs > forgottenAfterMs) await forgetUpload(workDir, id);
  }
}
