// One archive of all that it takes to go on elsewhere: the store (accounts and trail are in it), the workshop file and the files it
// names. No key and no secret is among it.
import { existsSync, rmSync } from "node:fs";
import { basename, isAbsolute, join, relative, resolve } from "node:path";
import { badgeKeyPath } from "../../shared/badges.ts";
import { UsageError } from "../../shared/errors.ts";
import { noteCopy, noteOfStore, type Store } from "../../shared/store.ts";
import { copyDatabase } from "../../shared/store-copy.ts";
import { pathBeside, type WorkshopFile } from "../../shared/workshop.ts";
import { inTurn } from "../access/turn.ts";
import { programVersion } from "../version.ts";
import { type Packed, type Role, readArchive, writeArchive } from "./archive.ts";
import { rowsOfCopy } from "./rows.ts";

export interface Backup {
  file: string;
  bytes: number;
  sha256: string;
}

interface Named {
  role: Role;
  place: string;
}

/** The files that the workshop file names and that are no secrets. */
function filesNamedBy({ workshop }: WorkshopFile): Named[] {
  const named: Named[] = [];
  const add = (role: Role, place: string | undefined) => {
    if (place !== undefined && !named.some((each) => each.place === place)) named.push({ role, place });
  };
  add("profile", workshop.profile);
  add("roster", workshop.roster);
  add("profile", workshop.watch.mqtt?.profile);
  return named;
}

const secretsNamedBy = ({ workshop: { watch } }: WorkshopFile): string[] =>
  [watch.mqtt?.password_file, watch.mail?.password_file, watch.webhook?.secret_file].filter((path) => path !== undefined);

/**
 * Makes a backup while others go on with the store, reads it back from end to end, and notes it. Throws UsageError where something
 * else stands at `file`, FailedError where it can't be written; an older backup there is replaced only by a whole new one.
 */
export async function backUp(store: Store, workshop: WorkshopFile, file: string, now: Date): Promise<Backup> {
  await refuseOther(store, workshop, file);
  const copy = join(store.workDir, `backup-${now.getTime()}-${process.pid}.duckdb`);
  try {
    const connection = await store.connect();
    let schema: number;
    try {
      schema = Number(await noteOfStore(connection, "schema"));
      await copyDatabase(connection, copy);
    } finally {
      connection.closeSync();
    }
    const named = filesNamedBy(workshop);
    const isThere = ({ place }: Named) => existsSync(pathBeside(workshop.path, place));
    const packed: Packed[] = [
      { entry: "workshop.yaml", role: "workshop", place: basename(workshop.path), path: workshop.path },
      ...named.filter(isThere).map((each, i) => ({
        ...each,
        entry: `files/${i + 1}-${basename(each.place)}`,
        path: pathBeside(workshop.path, each.place),
      })),
      { entry: "store.duckdb", role: "store", place: basename(store.path), path: copy },
    ];
    const head = {
      madeAt: now.toISOString(),
      version: programVersion(),
      schema,
      isHashed: workshop.workshop.privacy.badges === "hashed",
      rows: await rowsOfCopy(copy),
      leftOut: [basename(badgeKeyPath(store.path)), ...secretsNamedBy(workshop)],
      missing: named.filter((each) => !isThere(each)).map(({ place }) => place),
    };
    const written = await writeArchive(file, head, packed);
    await readArchive(file, () => null);
    await inTurn(store, (connection) => noteCopy(connection, { kind: "backup", path: file, madeAt: now, ...written }));
    return { file, ...written };
  } finally {
    rmSync(copy, { force: true });
  }
}

/** An archive must not take the place of anything but an older archive. */
async function refuseOther(store: Store, workshop: WorkshopFile, file: string): Promise<void> {
  if (!existsSync(file)) return;
  const expected = "a new file, or an older backup to be replaced";
  const own = [store.path, `${store.path}.wal`, badgeKeyPath(store.path), workshop.path].map((path) => resolve(path));
  if (own.includes(resolve(file))) throw new UsageError({ field: "file", value: file, expected });
  try {
    await readArchive(file, () => null);
  } catch (error) {
    throw error instanceof UsageError ? error : new UsageError({ field: "file", value: file, expected });
  }
}

/** Where a file of a backup goes: beside the workshop file, wherever it was named to be; never out of that folder. */
export function placeBeside(folder: string, place: string): { path: string; isAsNamed: boolean } {
  const inside = resolve(folder, place);
  const isAsNamed = !isAbsolute(place) && !relative(folder, inside).startsWith("..");
  return { path: isAsNamed ? inside : join(folder, basename(place)), isAsNamed };
}
