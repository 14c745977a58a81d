// The generator's count of every line's fate against what reading makes of it: two programs that share only the contract.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { type Account, ingestFile } from "../../ingest/index.ts";
import { type SampleWorkshop, writeSampleWorkshop } from "../../sample-logs/index.ts";
import { inTransaction, loadProfile, openStore } from "../../shared/index.ts";

const folder = mkdtempSync(join(tmpdir(), "sample-ingest-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function readAll(made: SampleWorkshop, store: Awaited<ReturnType<typeof openStore>>): Promise<Account[]> {
  const connection = await store.connect();
  try {
    const profile = loadProfile(made.profile);
    const accounts: Account[] = [];
    for (const path of made.logs) {
      const request = {
        path,
        name: path,
        profile,
        zone: "America/St_Johns",
        storedBadge: (badge: string) => badge,
        workDir: store.workDir,
      };
      accounts.push(await inTransaction(connection, () => ingestFile(connection, request)));
    }
    return accounts;
  } finally {
    connection.closeSync();
  }
}

const counts = ({ lines, stored, duplicates, ignored, blank, rejected }: Omit<Account, "file" | "repaired" | "touched">) => ({
  lines,
  stored,
  duplicates,
  ignored,
  blank,
  rejected,
});

test("every line of a messy half-year meets the fate that the truth says, and reading again adds nothing", async () => {
  // From October to April: both clock changes lie inside.
  const made = writeSampleWorkshop({ dir: folder, seed: 8, years: 0.5, until: "2026-04-01" });
  const store = await openStore(join(folder, "store.duckdb"));
  try {
    const first = await readAll(made, store);
    expect(first.map(counts)).toEqual(made.files.map(counts));
    expect(made.files.reduce((sum, { unset }) => sum + unset, 0)).toBeGreaterThan(0);
    const again = await readAll(made, store);
    expect(again.map(counts)).toEqual(
      made.files.map((file) => ({ ...counts(file), stored: 0, duplicates: file.stored + file.duplicates })),
    );
  } finally {
    store.close();
  }
}, 240_000);
