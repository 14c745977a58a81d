// An unknown file: which profile would read it, what its values can't decide, and three rows as they would be read.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";
import { UsageError } from "../../shared/errors.ts";
import { type Profile, profileFromText } from "../../shared/profile.ts";
import { ask, question } from "../../shared/question.ts";
import { inTransaction, openStore } from "../../shared/store.ts";
import { ingestFile } from "../ingest-file.ts";
import { ElementSplitter } from "../reading/json-records.ts";
import { LineSplitter } from "../reading/physical-lines.ts";
import { openBytes, readError } from "../reading/survey.ts";
import { listRejects } from "../rejects/rejects.ts";
import { profileYaml } from "./profile-yaml.ts";
import { columnsOf, type Roles, rolesOf } from "./roles.ts";
import { maybeDelimited, maybeObjects, type Shape } from "./shape.ts";

const firstRows = question(import.meta.url, "./first-rows.sql");

export interface ReadRow {
  line: number;
  time: Date;
  finish: Date | null;
  /** The time by the zone's clock. */
  local: string;
  station: string;
  event: string | null;
  badge: string | null;
  detail: string | null;
}

export interface SniffSettings {
  /** The workshop's zone, where it is known; else the stamps' zone is a question. */
  zone?: string | undefined;
  /** How many of the first rows to show. */
  rows?: number;
}

/** What a profile makes of the beginning of a file. */
export interface Tried {
  rows: ReadRow[];
  lines: number;
  stored: number;
  ignored: number;
  rejected: number;
  /** The first lines that were rejected, with why. */
  rejects: { line: number; text: string; reason: string }[];
}

export type Sniffed =
  | { kind: "log"; format: string; yaml: string; profile: Profile; questions: string[]; rows: ReadRow[]; rejected: number }
  | { kind: "none"; why: string };

const SAMPLE_BYTES = 2 << 20;
const SAMPLE_LINES = 5000;

/** Proposes a profile for a file. Throws UsageError where it can't be opened. */
export async function sniffFile(path: string, name = path, settings: SniffSettings = {}): Promise<Sniffed> {
  const { texts, encoding, isParquet } = await sampleOf(path, name);
  if (texts.length === 0) return { kind: "none", why: "the file is empty" };
  const shape = shapeOf(texts, isParquet);
  if (shape === null) return { kind: "none", why: "no separator gives rows of equal width, and it is no JSON" };
  const roles = rolesOf(columnsOf(shape), shape);
  if ("none" in roles) return { kind: "none", why: roles.none };
  return proposal(shape, roles, encoding, texts, settings);
}

/** Reads the beginning of a file by a profile that somebody has mended. Throws UsageError where the profile won't do. */
export async function tryProfile(path: string, name: string, yaml: string, settings: SniffSettings = {}): Promise<Tried> {
  const profile = profileFromText("profile.yaml", yaml);
  const { texts } = await sampleOf(path, name);
  return readSample(profile, texts, settings);
}

async function sampleOf(path: string, name: string): Promise<{ texts: string[]; encoding: string; isParquet: boolean }> {
  const head = await headOf(path, name);
  const encoding = encodingOf(head);
  const isParquet = head.subarray(0, 4).toString("latin1") === "PAR1";
  return {
    texts: head.length === 0 ? [] : isParquet ? await parquetRecords(path, name) : linesOf(head, encoding),
    encoding,
    isParquet,
  };
}

function shapeOf(texts: string[], isParquet: boolean): Shape | null {
  const first = texts.find((text) => text.trim() !== "")?.trim() ?? "";
  if (isParquet) return maybeObjects(texts, "parquet");
  if (first.startsWith("[")) {
    const splitter = new ElementSplitter();
    return maybeObjects(
      splitter.add(texts.join("\n")).map(({ text }) => text),
      "json",
    );
  }
  if (first.startsWith("{"))
    return maybeObjects(
      texts.filter((text) => text.trim() !== ""),
      "ndjson",
    );
  return maybeDelimited(texts);
}

async function proposal(
  shape: Shape,
  roles: Roles,
  encoding: string,
  texts: string[],
  settings: SniffSettings,
): Promise<Sniffed> {
  const { yaml, questions } = profileYaml(shape, roles, encoding, settings.zone);
  const profile = profileFromText("proposed profile", yaml);
  const { rows, rejected } = await readSample(profile, texts, settings);
  return { kind: "log", format: shape.format, yaml, profile, questions, rows, rejected };
}

/** Reads the sample by the proposed profile, the whole way, into a store that is gone afterwards. */
async function readSample(profile: Profile, texts: string[], { zone = "UTC", rows: shown = 3 }: SniffSettings): Promise<Tried> {
  const folder = mkdtempSync(join(tmpdir(), "almanac-sniff-"));
  const store = await openStore(join(folder, "sample.duckdb"));
  try {
    const connection = await store.connect();
    const path = join(folder, "sample");
    writeFileSync(path, texts.join("\n"));
    const account = await inTransaction(connection, () =>
      ingestFile(connection, {
        name: "sample",
        path,
        profile: { ...profile, encoding: "utf-8", format: profile.format === "parquet" ? "ndjson" : profile.format },
        zone,
        storedBadge: (badge) => badge,
        workDir: store.workDir,
      }),
    );
    const rows = await ask<ReadRow>(connection, firstRows, { shown, zone });
    const rejects = (await listRejects(connection)).slice(0, shown).map(({ line, text, reason }) => ({ line, text, reason }));
    connection.closeSync();
    const { lines, stored, ignored, rejected } = account;
    return { rows, lines, stored, ignored, rejected, rejects };
  } finally {
    store.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function headOf(path: string, name: string): Promise<Buffer> {
  const { stream } = await openBytes(path, name);
  const parts: Buffer[] = [];
  let bytes = 0;
  try {
    for await (const chunk of stream as AsyncIterable<Buffer>) {
      parts.push(chunk);
      bytes += chunk.length;
      if (bytes >= SAMPLE_BYTES) break;
    }
  } catch (error) {
    // The beginning of a cut archive can still be told from something else; its ingest will refuse it.
    if (parts.length === 0) throw readError(error, name);
  } finally {
    stream.destroy();
  }
  return Buffer.concat(parts).subarray(0, SAMPLE_BYTES);
}

/** By the byte order mark, by NULs at every other place, else UTF-8 where it is that, else Latin-1. */
function encodingOf(head: Buffer): "utf-8" | "utf-16" | "utf-16be" | "latin-1" {
  const some = head.subarray(0, 4096);
  const nulsAt = (parity: number): number => some.filter((byte, index) => byte === 0 && index % 2 === parity).length;
  if (some[0] === 0xff && some[1] === 0xfe) return "utf-16";
  if (some[0] === 0xfe && some[1] === 0xff) return "utf-16be";
  if (nulsAt(1) > some.length / 4) return "utf-16";
  if (nulsAt(0) > some.length / 4) return "utf-16be";
  const text = new TextDecoder("utf-8").decode(head.subarray(0, head.length - 4));
  return text.includes("\ufffd") ? "latin-1" : "utf-8";
}

function linesOf(head: Buffer, encoding: string): string[] {
  const splitter = new LineSplitter({ "utf-8": "utf-8", "utf-16": "utf-16le", "utf-16be": "utf-16be" }[encoding] ?? "latin1");
  const lines = splitter.add(head).map(({ text }) => text);
  // The last line of a sample may be cut; of a whole file it is a line like the others.
  if (head.length < SAMPLE_BYTES) lines.push(...splitter.end().map(({ text }) => text));
  return lines.slice(0, SAMPLE_LINES);
}

async function parquetRecords(path: string, name: string): Promise<string[]> {
  const instance = await DuckDBInstance.create(":memory:");
  try {
    const connection = await instance.connect();
    const reader = await connection.runAndReadAll(
      "SELECT to_json(r)::VARCHAR FROM (SELECT * FROM read_parquet($path) LIMIT 5000) AS r",
      { path },
    );
    return reader.getRows().map(([text]) => String(text));
  } catch (error) {
    throw new UsageError({
      field: "file",
      value: name,
      expected: `a sound Parquet file (${error instanceof Error ? error.message.split("\n")[0] : error})`,
    });
  } finally {
    instance.closeSync();
  }
}
