import { existsSync, readFileSync } from "node:fs";
import { resolve } from "node:path";
import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import type { Exposure } from "../access/exposure.ts";
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

const exposing = {
  cert: z.string().optional().describe("certificate in PEM, to speak TLS").meta({ placeholder: "FILE" }),
  key: z.string().optional().describe("its key in PEM").meta({ placeholder: "FILE" }),
  proxy: z.string().optional().describe("the name readers know a proxy in front by").meta({ placeholder: "NAME" }),
  proxyFrom: z
    .array(z.string())
    .default([])
    .describe("where the proxy comes from, this computer aside")
    .meta({ placeholder: "ADDRESS" }),
  name: z.array(z.string()).default([]).describe("further names to answer to").meta({ placeholder: "NAME" }),
};

export const serveCommand = plainCommand({
  name: "serve",
  summary: "hold the store and serve the dashboard, until stopped",
  examples: ["almanac serve", "almanac serve --port 0"],
  options: z.object({ ...serving, ...exposing }),
  needs: "nothing",
  need: "do-setup",
  async run(surroundings, { port, host, cert, key, proxy, proxyFrom, name, workshop, store }) {
    const file = resolve(surroundings.cwd, workshop);
    // Without one it starts all the same: the leaf Setup makes the first. One with problems is told at once.
    const isFirstRun = !existsSync(file);
    if (!isFirstRun) (await import("../../shared/workshop.ts")).loadWorkshop(file);
    const exposure = { host, tls: tlsFrom(surroundings.cwd, cert, key), proxy: proxy ?? null, proxyFrom, names: name };
    return serveUntilStopped(
      surroundings,
      { port, exposure, workshop: file, store: resolve(surroundings.cwd, store) },
      "Workshop Almanac",
      isFirstRun ? "setup" : "",
    );
  },
});

function tlsFrom(cwd: string, cert: string | undefined, key: string | undefined): Exposure["tls"] {
  if (cert === undefined && key === undefined) return null;
  if (cert === undefined || key === undefined)
    throw new UsageError({
      field: cert === undefined ? "cert" : "key",
      value: null,
      expected: "--cert FILE and --key FILE together",
    });
  return { cert: fileAt(cwd, "cert", cert), key: fileAt(cwd, "key", key) };
}

function fileAt(cwd: string, field: string, path: string): Buffer {
  try {
    return readFileSync(resolve(cwd, path));
  } catch (error) {
    const why = (error as NodeJS.ErrnoException).code ?? "it can't be read";
    throw new UsageError({ field, value: path, expected: `a file in PEM that can be read (${why})` });
  }
}

/** Serves, prints the one line with the address, and waits for the signal to stop. */
export async function serveUntilStopped(
  { signal, commands }: Surroundings,
  settings: { port: number; exposure: Exposure; workshop: string; store: string },
  title: string,
  leaf = "",
): Promise<{ head: Record<string, unknown>; text: string }> {
  const { serve } = await import("../server/serve.ts");
  const served = await serve({
    ...settings,
    commands,
    log: (line) => process.stderr.write(`${new Date().toISOString()} ${line}\n`),
  });
  const toWhom = served.isOpen ? " (no accounts yet, so to this computer only)" : "";
  process.stdout.write(`${title} is open at ${served.address}${leaf}${toWhom}\n`);
  await new Promise<void>((done) => (signal.aborted ? done() : signal.addEventListener("abort", () => done(), { once: true })));
  await served.close();
  return { head: { address: served.address, stopped: true }, text: "" };
}
