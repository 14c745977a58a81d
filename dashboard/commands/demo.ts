import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { z } from "zod";
import { plainCommand } from "./command.ts";
import { ingest } from "./ingest.ts";
import { serveUntilStopped, serving } from "./serve.ts";
import { serviceImport } from "./service.ts";

export const demo = plainCommand({
  name: "demo",
  summary: "make an invented workshop's two years, read them, and serve the dashboard",
  examples: ["almanac demo", "almanac demo --seed 7 --port 0"],
  options: z.object(serving),
  needs: "nothing",
  need: "do-setup",
  async run(surroundings, { port, host, seed }) {
    const dir = await mkdtemp(join(tmpdir(), "workshop-almanac-demo-"));
    try {
      const { writeSampleWorkshop } = await import("../../sample-logs/index.ts");
      // Its two years end last midnight, so that what is due lies ahead of whoever looks.
      const sample = await writeSampleWorkshop({ dir, seed, until: new Date().toISOString().slice(0, 10) });
      const store = join(dir, "demo.duckdb");
      const { runCommand } = await import("../run.ts");
      await runCommand(ingest, { files: sample.logs, workshop: sample.workshop, store }, surroundings);
      await runCommand(serviceImport, { file: sample.service, workshop: sample.workshop, store }, surroundings);
      surroundings.progress.end();
      return await serveUntilStopped(
        surroundings,
        { port, exposure: { host, tls: null, proxy: null, proxyFrom: [], names: [] }, workshop: sample.workshop, store },
        "The invented workshop",
      );
    } finally {
      await rm(dir, { recursive: true, force: true });
    }
  },
});
