import { resolve } from "node:path";
import { z } from "zod";
import { loadWorkshop } from "../../shared/workshop.ts";
import { plainCommand, type Surroundings } from "./command.ts";

export const serving = {
  port: z.coerce
    .number()
    .int()
    .min(0)
    .max(65_535)
    .default(8087)
    .describe("the port; 0 takes a free one")
    .meta({ placeholder: "N" }),
  host: z.string().default("127.0.0.1").describe("the address to listen on").meta({ placeholder: "ADDRESS" }),
};

export const serveCommand = plainCommand({
  name: "serve",
  summary: "hold the store and serve the dashboard, until stopped",
  examples: ["almanac serve", "almanac serve --port 0"],
  options: z.object(serving),
  needs: "nothing",
  need: "do-setup",
  async run(surroundings, { port, host, workshop, store }) {
    const file = resolve(surroundings.cwd, workshop);
    await loadWorkshop(file);
    return serveUntilStopped(
      surroundings,
      { port, host, workshop: file, store: resolve(surroundings.cwd, store) },
      "Workshop Almanac",
    );
  },
});

/** Serves, prints the one line with the address, and waits for the signal to stop. */
export async function serveUntilStopped(
  { signal, commands }: Surroundings,
  settings: { port: number; host: string; workshop: string; store: string },
  title: string,
): Promise<{ head: Record<string, unknown>; text: string }> {
  const { serve } = await import("../server/serve.ts");
  const served = await serve({
    ...settings,
    commands,
    log: (line) => process.stderr.write(`${new Date().toISOString()} ${line}\n`),
  });
  process.stdout.write(`${title} is open at ${served.address}\n`);
  await new Promise<void>((done) => (signal.aborted ? done() : signal.addEventListener("abort", () => done(), { once: true })));
  await served.close();
  return { head: { address: served.address, stopped: true }, text: "" };
}
