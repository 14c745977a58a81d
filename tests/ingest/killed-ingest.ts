// Run by the test of killed readings: ingests one file into a store and says when it is done. Arguments: store, log.
import { ingestFile } from "../../ingest/index.ts";
import { houseProfile } from "../../shared/profile.ts";
import { inTransaction, openStore } from "../../shared/store.ts";

const [storePath, log] = process.argv.slice(2);
const store = await openStore(storePath!, { memory: "400MB" });
const connection = await store.connect();
process.stdout.write("begun\n");
await inTransaction(connection, () =>
  ingestFile(connection, {
    name: "log.csv",
    path: log!,
    profile: houseProfile("csv"),
    zone: "UTC",
    storedBadge: (badge) => badge,
    workDir: store.workDir,
  }),
);
process.stdout.write("done\n");
connection.closeSync();
store.close();
