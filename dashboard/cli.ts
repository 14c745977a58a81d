#!/usr/bin/env node
// The program as typed: parse, run here or hand over to the process that holds the store, print, exit.
import { createRequire } from "node:module";
import { commands } from "./commands/index.ts";
import { moreHelpFor, typedFromArgv } from "./program.ts";

const { version } = createRequire(import.meta.url)("../../package.json") as { version: string };

async function main(argv: string[]): Promise<number> {
  try {
    const typed = typedFromArgv(argv, version, commands, await moreHelpFor(argv, commands));
    if (!typed) return 0;
    const { runTyped } = await import("./run-typed.ts");
    return await runTyped(typed, commands, process);
  } catch (error) {
    const { toldFromError, toldText } = await import("./render.ts");
    const told = toldFromError(error);
    const { out, err } = toldText(told, argv.includes("--json"));
    process.stdout.write(out);
    process.stderr.write(err);
    return told.exitCode;
  }
}

// A reader that closes early (`almanac sessions | head`) is no failure.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code === "EPIPE") process.exit(0);
  throw error;
});

process.exitCode = await main(process.argv.slice(2));
