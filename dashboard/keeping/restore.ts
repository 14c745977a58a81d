// Puts a backup back: unpacked beside the store, proved, and only then put in its place, in one step.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import writeFileAtomic from "write-file-atomic";
import { rulesVersion } from "../../ingest/index.ts";
import { badgeKeyPath } from "../../shared/badges.ts";
import { FailedError, UsageError } from "../../shared/errors.ts";
import { isHeld, noteCopy, noteOfStore, openStore, putInPlace, type Store } from "../../shared/store.ts";
import { noteOnTrail } from "../access/trail.ts";
import { inTurn, look } from "../access/turn.ts";
import { type Manifest, readArchive } from "./archive.ts";
import { placeBeside } from "./backup.ts";
import { type Check, checkStore } from "./checks.ts";
import { rowsOfCopy } from "./rows.ts";

export interface RestoreSettings {
  /** The archive. */
  file: string;
  store: string;
  workshop: string;
  /** Whether a store that is there may be replaced. */
  isToReplace: boolean;
  /** The store, where this process holds it. */
  held: Store | undefined;
  who: string;
}

export interface Restored {
  madeAt: string;
  schema: number;
  checks: Check[];
  files: { file: string; state: "restored" | "as it was" | "kept, the backup's stands beside it" }[];
  notes: string[];
}

/** Throws UsageError where a store is there and may not be replaced, FailedError where the backup doesn't prove good; then nothing has changed. */
export async function restore(settings: RestoreSettings): Promise<Restored> {
  const { file, store: path, workshop, isToReplace, held } = settings;
  if (existsSync(path) && !isToReplace) {
    const expected = "a path where no store is, or --replace";
    throw new UsageError({ field: "store", value: path, expected });
  }
  const folder = `${path}.restore-${process.pid}`;
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  try {
    const copy = join(folder, "store.duckdb");
    const unpacked = new Map<string, { entry: Manifest["entries"][number]; path: string }>();
    const manifest = await readArchive(file, (entry) => {
      const to = entry.role === "store" ? copy : join(folder, `file-${unpacked.size}`);
      unpacked.set(entry.entry, { entry, path: to });
      return to;
    });
    if (!existsSync(copy)) throw new FailedError({ field: "file", value: file, expected: "a backup with a store in it" });
    const checks = await prove(copy, manifest);
    const aside = `${path}.before-restore`;
    const hadStore = await swapIn(copy, path, aside, held);
    await noteIn(settings, hadStore ? aside : null, manifest);
    const files = await putFiles(manifest, unpacked, workshop, isToReplace);
    return {
      madeAt: manifest.madeAt,
      schema: manifest.schema,
      checks,
      files,
      notes: notesOf(manifest, settings, hadStore, aside),
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Opens the copy as the store it is to be: its rows are counted, its tables brought up to date, all of it is verified. */
async function prove(copy: string, manifest: Manifest): Promise<Check[]> {
  const rows = await rowsOfCopy(copy);
  const names = [...new Set([...Object.keys(rows), ...Object.keys(manifest.rows)])];
  const off = names.filter((name) => rows[name] !== manifest.rows[name]);
  const counted: Check = {
    name: "as many rows as when the backup was made",
    ok: off.length === 0,
    detail: off.length === 0 ? `${Object.values(rows).reduce((a, b) => a + b, 0)} rows` : off.join(", "),
  };
  const store = await openStore(copy, { isPassing: true });
  try {
    const { checks, isOfOtherRules } = await look(store, async (connection) => ({
      checks: await checkStore(connection),
      isOfOtherRules: (await noteOfStore(connection, "rules")) !== String(rulesVersion),
    }));
    // Sessions made by other rules than these are derived anew by the first command.
    const all = [counted, ...(isOfOtherRules ? checks.filter(({ name }) => !name.startsWith("sessions")) : checks)];
    const failed = all.filter(({ ok }) => !ok);
    if (failed.length > 0) {
      const why = failed.map(({ name, detail }) => `${name}: no${detail ? ` (${detail})` : ""}`).join("; ");
      throw new FailedError({ field: "file", value: "the backup", expected: `a store that proves good; ${why}` });
    }
    return all;
  } finally {
    store.close();
    rmSync(`${copy}.work`, { recursive: true, force: true });
  }
}

/** Gives whether a store was there before; it is kept as `aside`. */
async function swapIn(copy: string, path: string, aside: string, held: Store | undefined): Promise<boolean> {
  const hadStore = existsSync(path);
  if (held) {
    const made = join(held.workDir, "restored.duckdb");
    renameSync(copy, made);
    await held.replace(async () => made, aside);
    return true;
  }
  if (!hadStore) {
    putInPlace(copy, path, () => undefined);
    return false;
  }
  try {
    const store = await openStore(path);
    try {
      const made = join(store.workDir, "restored.duckdb");
      renameSync(copy, made);
      await store.replace(async () => made, aside);
    } finally {
      store.close();
    }
  } catch (error) {
    if (isHeld(error) || !(error instanceof FailedError) || !existsSync(copy)) throw error;
    // Damaged or foreign: it can't be opened, so nobody holds it either.
    for (const end of ["", ".wal"]) {
      rmSync(aside + end, { force: true });
      if (existsSync(path + end)) renameSync(path + end, aside + end);
    }
    putInPlace(copy, path, () => undefined);
  }
  return true;
}

/** What was done, in the store that it was done with. */
async function noteIn({ store: path, held, who }: RestoreSettings, aside: string | null, { madeAt }: Manifest): Promise<void> {
  const store = held ?? (await openStore(path));
  try {
    await inTurn(store, async (connection) => {
      const now = new Date();
      if (aside !== null) await noteCopy(connection, { kind: "before restore", path: aside, madeAt: now });
      await noteOnTrail(connection, { who, act: "changed", what: "restore", detail: { madeAt } }, now);
    });
  } finally {
    if (!held) store.close();
  }
}

/** The workshop file and those it names. One that is there and differs stays, unless the store was to be replaced with all that belongs to it. */
async function putFiles(
  manifest: Manifest,
  unpacked: ReadonlyMap<string, { path: string }>,
  workshop: string,
  isToReplace: boolean,
): Promise<Restored["files"]> {
  const files: Restored["files"] = [];
  for (const { entry, role, place, sha256 } of manifest.entries) {
    if (role === "store") continue;
    const content = readFileSync(unpacked.get(entry)!.path);
    const target = role === "workshop" ? workshop : placeBeside(dirname(workshop), place).path;
    const state = stateOf(target, sha256);
    if (state === "same") {
      files.push({ file: target, state: "as it was" });
      continue;
    }
    mkdirSync(dirname(target), { recursive: true });
    if (state === "other" && !isToReplace) {
      await writeFileAtomic(`${target}.from-backup`, content, { mode: 0o600 });
      files.push({ file: target, state: "kept, the backup's stands beside it" });
      continue;
    }
    if (state === "other") renameSync(target, `${target}.before-restore`);
    await writeFileAtomic(target, content);
    files.push({ file: target, state: "restored" });
  }
  return files;
}

function stateOf(path: string, sha256: string): "absent" | "same" | "other" {
  if (!existsSync(path)) return "absent";
  return createHash("sha256").update(readFileSync(path)).digest("hex") === sha256 ? "same" : "other";
}

function notesOf(manifest: Manifest, { store, workshop }: RestoreSettings, hadStore: boolean, aside: string): string[] {
  const key = badgeKeyPath(store);
  const elsewhere = manifest.entries.filter(
    ({ role, place }) => (role === "roster" || role === "profile") && !placeBeside(dirname(workshop), place).isAsNamed,
  );
  return [
    ...(hadStore ? [`the store that was there is kept as ${aside}`] : []),
    ...(manifest.isHashed && !existsSync(key)
      ? [
          `no backup holds the key of the badge hashes: put it at ${resolve(key)} before the next reading, or begin a new one with 'almanac badge-key --new'`,
        ]
      : []),
    ...elsewhere.map(
      ({ place }) => `the workshop file names ${place}; it was put at ${placeBeside(dirname(workshop), place).path}`,
    ),
    ...manifest.missing.map((place) => `the workshop file names ${place}, which was not there when the backup was made`),
    ...manifest.leftOut.slice(1).map((secret) => `the workshop file names the secret ${secret}, which no backup holds`),
  ];
}
