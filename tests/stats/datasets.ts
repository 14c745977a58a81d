// Open data outside the project, in ../shared/datasets: tests that want them skip loudly where they are absent.
import { existsSync, readFileSync } from "node:fs";
import { parse } from "csv-parse/sync";

// A second working copy may lie one folder deeper than the first.
const places = ["../../../shared/datasets/", "../../../../shared/datasets/"].map((path) => new URL(path, import.meta.url));
const home = places.find((place) => existsSync(new URL("r-reliability/", place)));

if (!home) {
  const message = `no open data at ${places.map(({ pathname }) => pathname).join(" or ")}`;
  if (process.env.CI === "true") throw new Error(message);
  console.warn(`SKIPPED: ${message}`);
}

export const hasDatasets = home !== undefined;

/** The rows of one file, as text by column. */
export function rowsOf(file: string): Record<string, string>[] {
  return parse(readFileSync(new URL(file, home), "utf8"), { columns: true, skip_empty_lines: true });
}
