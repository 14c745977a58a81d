import { rm } from "node:fs/promises";
import { tmpdir, userInfo } from "node:os";
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
    const dir = join(tmpdir(), `workshop-almanac-demo-${userInfo().username}`, `seed-${seed}`);
    await rm(dir, { recursive: true, force: true });
    const { writeSampleWorkshop } = await import("../../sample-logs/index.ts");
    const sample = await writeSampleWorkshop({ dir, seed });
    const store = join(dir, "demo.duckdb");
    const { runCommand } = await import("../run.ts");
    await runCommand(ingest, { files: sample.logs, workshop: sample.workshop, store }, surroundings);
    await runCommand(serviceImport, { file: sample.service, workshop: sample.workshop, store }, surroundings);
    surroundings.progress.end();
    return serveUntilStopped(
      surroundings,
      { port, exposure: { host, tls: null, proxy: null, proxyFrom: [], names: [] }, workshop: sample.workshop, store },
      "The invented workshop",
    );
  },
});
