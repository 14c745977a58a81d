import { existsSync } from "node:fs";
import { mkdir, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { plainCommand } from "./command.ts";

export const init = plainCommand({
  name: "init",
  summary: "write a commented workshop.yaml to start from",
  examples: ["almanac init", "almanac init ~/workshop"],
  operands: "[dir]",
  options: z.object({ dir: z.string().default(".").describe("the folder to put it in") }),
  needs: "nothing",
  need: "do-setup",
  async run({ cwd }, { dir }) {
    const { starterFiles } = await import("../../shared/starter.ts");
    const folder = resolve(cwd, dir);
    const files = starterFiles().map(({ name, text }) => ({ path: join(folder, name), text }));
    const taken = files.find(({ path }) => existsSync(path));
    if (taken) throw new UsageError({ field: "dir", value: taken.path, expected: "a folder that has no such file yet" });
    await mkdir(folder, { recursive: true });
    for (const { path, text } of files) await writeFile(path, text, { flag: "wx" });
    const written = files.map(({ path }) => path);
    return {
      head: { files: written },
      text: `wrote ${written.join(" and ")}; read them, change them to your workshop, then: almanac check --workshop ${written[0]}\n`,
    };
  },
});
