// Lines that come while the dashboard is open, from a folder, a broker or a posted batch: the same path and the same accounting.
import type { DuckDBConnection } from "@duckdb/node-api";
import { type Account, ingestBatch, ingestFile, type Touched } from "../../ingest/index.ts";
import {
  houseProfile,
  inTransaction,
  loadProfile,
  loadWorkshop,
  type Profile,
  pathBeside,
  type Store,
  type WorkshopFile,
} from "../../shared/index.ts";
import { storedBadgeOf } from "../stored-badge.ts";
import { bringUpToDate, noteTouched } from "../upkeep.ts";

export interface Intake {
  /** A file of a watched folder; a line without an end is left for the next time while the file may still grow. */
  file(named: { name: string; path: string; isGrowing: boolean }): Promise<Account>;
  /** Records at hand, numbered on behind earlier ones of the same name; `profile` is a file beside the workshop file. */
  batch(named: {
    name: string;
    lines: Parameters<typeof ingestBatch>[1]["lines"];
    profile?: string | undefined;
  }): Promise<Account>;
}

interface Intaking {
  connection: DuckDBConnection;
  profile: Profile;
  zone: string;
  storedBadge: (badge: string) => string;
  workDir: string;
}

/** `onStored` is told after each delivery that stored a line, with what it touched. */
export function makeIntake(store: Store, workshopPath: string, onStored: (touched: Touched | null) => void): Intake {
  const taken = (
    profileOf: (workshop: WorkshopFile) => Promise<Profile>,
    work: (intaking: Intaking) => Promise<Account>,
  ): Promise<Account> => store.stay(() => takenInside(profileOf, work));

  async function takenInside(
    profileOf: (workshop: WorkshopFile) => Promise<Profile>,
    work: (intaking: Intaking) => Promise<Account>,
  ): Promise<Account> {
    const workshop = await loadWorkshop(workshopPath);
    const profile = await profileOf(workshop);
    const connection = await store.connect();
    try {
      const account = await store.exclusively(() =>
        inTransaction(connection, async () => {
          const storedBadge = await storedBadgeOf(store, connection, workshop, true);
          const account = await work({
            connection,
            profile,
            zone: workshop.workshop.workshop.zone,
            storedBadge,
            workDir: store.workDir,
          });
          await noteTouched(connection, account.touched);
          return account;
        }),
      );
      await bringUpToDate(store, connection, workshop, defaultSeed);
      if (account.stored > 0) onStored(account.touched);
      return account;
    } finally {
      connection.closeSync();
    }
  }
  return {
    file: ({ name, path, isGrowing }) =>
      taken(
        async ({ profilePath }) =>
          profilePath === null
            ? houseProfile(/\.(ndjson|jsonl)(\.gz)?$/i.test(path) ? "ndjson" : "csv")
            : loadProfile(profilePath),
        ({ connection, ...how }) => ingestFile(connection, { name, path, isGrowing, ...how }),
      ),
    // The workshop file's profile is how its files are read; records at hand are in the house format unless they say otherwise.
    batch: ({ name, lines, profile }) =>
      taken(
        async ({ path }) => (profile === undefined ? houseProfile("ndjson") : loadProfile(pathBeside(path, profile))),
        ({ connection, ...how }) => ingestBatch(connection, { name, lines, ...how }),
      ),
  };
}

/** Live lines are derived with the seed that questions have by default. */
const defaultSeed = 1;
