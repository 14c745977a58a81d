// The program's version, as its package says: the nearest package.json above this file, be it built or not.
import { existsSync, readFileSync } from "node:fs";

const packages = ["../package.json", "../../package.json"].map((path) => new URL(path, import.meta.url));

export const programVersion = (): string => {
  const found = packages.find((url) => existsSync(url));
  if (!found) throw new Error("package.json is missing from the installation");
  return (JSON.parse(readFileSync(found, "utf8")) as { version: string }).version;
};
