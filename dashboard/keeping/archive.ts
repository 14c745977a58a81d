// One archive file: a gzipped tar whose first entry says what is in it, with a hash of each. No key is ever among it.
import { createHash } from "node:crypto";
import { createReadStream, createWriteStream, mkdirSync, renameSync, rmSync, statSync } from "node:fs";
import { open } from "node:fs/promises";
import { basename, dirname } from "node:path";
import type { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGunzip, createGzip } from "node:zlib";
import tar from "tar-stream";
import * as z from "zod";
import { FailedError, UsageError } from "../../shared/errors.ts";

const what = "Workshop Almanac backup";
const manifestName = "manifest.json";
/** A list of files and tables; far more is no list of ours. */
const mostManifestBytes = 4 * 1024 * 1024;

const manifestSchema = z.object({
  what: z.literal(what),
  format: z.literal(1),
  madeAt: z.string(),
  version: z.string(),
  schema: z.number().int(),
  /** Whether the store's badges are hashed, so that it takes the key file to join new lines to old ones. */
  isHashed: z.boolean(),
  /** Rows of each table of the store in it. */
  rows: z.record(z.string(), z.number().int()),
  /** Files that belong to the workshop and were left out, since they are secrets. */
  leftOut: z.array(z.string()),
  /** Files that the workshop file names and that were not there. */
  missing: z.array(z.string()),
  entries: z.array(
    z.object({
      entry: z.string(),
      role: z.enum(["store", "workshop", "roster", "profile"]),
      /** Its path as the workshop file names it; of the workshop file and the store their own names. */
      place: z.string(),
      bytes: z.number().int().nonnegative(),
      sha256: z.string(),
    }),
  ),
});

export type Manifest = z.infer<typeof manifestSchema>;
export type Role = Manifest["entries"][number]["role"];

/** A file on its way into an archive. */
export interface Packed {
  entry: string;
  role: Role;
  place: string;
  path: string;
}

export interface Written {
  bytes: number;
  sha256: string;
}

async function hashOfFile(path: string): Promise<Written> {
  const hash = createHash("sha256");
  let bytes = 0;
  for await (const part of createReadStream(path)) {
    hash.update(part as Buffer);
    bytes += (part as Buffer).length;
  }
  return { bytes, sha256: hash.digest("hex") };
}

/** Writes an archive beside `path` and renames it into place when it is whole and on disk; readable by its owner only. */
export async function writeArchive(
  path: string,
  head: Omit<Manifest, "what" | "format" | "entries">,
  packed: readonly Packed[],
): Promise<Written> {
  const entries: Manifest["entries"] = [];
  for (const { path: from, ...named } of packed) entries.push({ ...named, ...(await hashOfFile(from)) });
  const manifest: Manifest = { what, format: 1, ...head, entries };
  const aside = `${path}.${process.pid}.part`;
  mkdirSync(dirname(path), { recursive: true });
  try {
    const pack = tar.pack();
    const hash = createHash("sha256");
    let bytes = 0;
    const filling = (async () => {
      const text = Buffer.from(`${JSON.stringify(manifest, null, 2)}\n`);
      await new Promise<void>((done, fail) =>
        pack.entry({ name: manifestName, size: text.length, mode: 0o600 }, text, (error) => (error ? fail(error) : done())),
      );
      for (const [i, { path: from }] of packed.entries()) {
        const { entry, bytes: size } = entries[i]!;
        const sink = pack.entry({ name: entry, size, mode: 0o600 });
        await pipeline(createReadStream(from), sink);
      }
      pack.finalize();
    })();
    const draining = pipeline(
      pack as unknown as Readable,
      createGzip({ level: 1 }),
      async function* (parts: AsyncIterable<Buffer>) {
        for await (const part of parts) {
          hash.update(part);
          bytes += part.length;
          yield part;
        }
      },
      createWriteStream(aside, { mode: 0o600, flags: "wx" }),
    );
    await Promise.all([
      filling.catch((error: unknown) => {
        pack.destroy(error as Error);
        throw error;
      }),
      draining,
    ]);
    const file = await open(aside, "r+");
    try {
      await file.sync();
    } finally {
      await file.close();
    }
    renameSync(aside, path);
    return { bytes, sha256: hash.digest("hex") };
  } catch (error) {
    rmSync(aside, { force: true });
    const code = (error as NodeJS.ErrnoException).code;
    if (code === undefined) throw error;
    throw new FailedError({ field: "file", value: path, expected: `a file that can be written (${code})` }, error);
  }
}

const notOurs = (path: string, why: string): FailedError =>
  new FailedError({ field: "file", value: basename(path), expected: `a backup made by Workshop Almanac, whole (${why})` });

/**
 * Reads an archive from end to end. `taken` says where an entry goes (null: nowhere, it is only read); every entry is held against
 * its hash and none may be missing. Paths in the archive are never used as paths. Throws UsageError where the file can't be opened,
 * FailedError where it is no whole backup.
 */
export async function readArchive(path: string, taken: (entry: Manifest["entries"][number]) => string | null): Promise<Manifest> {
  try {
    if (!statSync(path).isFile()) throw Object.assign(new Error("no file"), { code: "EISDIR" });
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    throw new UsageError({ field: "file", value: path, expected: `a backup that can be opened (${code})` });
  }
  const extract = tar.extract();
  let manifest: Manifest | null = null;
  const seen = new Set<string>();
  const reading = pipeline(createReadStream(path), createGunzip(), extract as unknown as NodeJS.WritableStream);
  // Told by the loop below, which sees the same break.
  reading.catch(() => undefined);
  try {
    for await (const stream of extract as unknown as AsyncIterable<Readable & { header: { name: string; size: number } }>) {
      const { name } = stream.header;
      if (manifest === null) {
        if (name !== manifestName) throw notOurs(path, "its list is not the first thing in it");
        manifest = manifestFrom(path, await textOf(stream, mostManifestBytes, path));
        continue;
      }
      const listed = manifest.entries.find(({ entry }) => entry === name);
      if (!listed || seen.has(name)) throw notOurs(path, `${JSON.stringify(name)} is not in its list`);
      seen.add(name);
      const { bytes, sha256 } = await into(stream, taken(listed), listed.bytes);
      if (bytes !== listed.bytes || sha256 !== listed.sha256) throw notOurs(path, `${name} is not as it was written`);
    }
    await reading;
  } catch (error) {
    extract.destroy();
    if (error instanceof FailedError || error instanceof UsageError) throw error;
    throw notOurs(path, error instanceof Error ? error.message : String(error));
  }
  if (manifest === null) throw notOurs(path, "it is empty");
  const missing = manifest.entries.filter(({ entry }) => !seen.has(entry));
  if (missing.length > 0) throw notOurs(path, `${missing[0]!.entry} is missing`);
  return manifest;
}

function manifestFrom(path: string, text: string): Manifest {
  try {
    return manifestSchema.parse(JSON.parse(text));
  } catch (error) {
    throw notOurs(path, error instanceof SyntaxError ? "its list can't be read" : "its list is not as expected");
  }
}

async function textOf(stream: Readable, most: number, path: string): Promise<string> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const part of stream) {
    bytes += (part as Buffer).length;
    if (bytes > most) throw notOurs(path, "its list is too long");
    parts.push(part as Buffer);
  }
  return Buffer.concat(parts).toString("utf8");
}

/** Writes an entry, or only reads it; stops as soon as it is longer than it says. */
async function into(stream: Readable, path: string | null, most: number): Promise<Written> {
  const hash = createHash("sha256");
  let bytes = 0;
  async function* counted(): AsyncGenerator<Buffer> {
    for await (const part of stream) {
      hash.update(part as Buffer);
      bytes += (part as Buffer).length;
      if (bytes > most) throw new Error("an entry is longer than its list says");
      yield part as Buffer;
    }
  }
  if (path === null) for await (const _ of counted());
  else await pipeline(counted, createWriteStream(path, { mode: 0o600, flags: "wx" }));
  return { bytes, sha256: hash.digest("hex") };
}
