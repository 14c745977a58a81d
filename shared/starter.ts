// The files that `init` lays down: a workshop that never was, commented, to be changed into one's own.
import { readFileSync } from "node:fs";

export interface StarterFile {
  name: string;
  text: string;
}

/** `workshop.yaml`, and a `profile.yaml` to be named in it where the log is not of the house format. Neither has a problem. */
export function starterFiles(): StarterFile[] {
  return ["workshop.yaml", "profile.yaml"].map((name) => ({
    name,
    text: readFileSync(new URL(`./starter/${name}`, import.meta.url), "utf8"),
  }));
}
