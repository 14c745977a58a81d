import { z } from "zod";
import { storeCommand } from "./command.ts";

export const ingest = storeCommand({
  name: "ingest",
  summary: "read log files into the store; the same lines twice change nothing",
  examples: ["almanac ingest logs/*.csv", "almanac ingest export.csv.gz --profile reader.yaml --strict"],
  operands: "<files...>",
  options: z.object({
    files: z.array(z.string()).min(1).describe("the logs"),
    profile: z
      .string()
      .optional()
      .describe("how to read them; else the workshop file's profile, else the house format")
      .meta({ placeholder: "FILE" }),
    strict: z.boolean().default(false).describe("exit with 3 where a line was rejected"),
  }),
  needs: "writes",
  need: "do-setup",
  async run(desk, { files, profile, strict }) {
    const { readFiles } = await import("../reading.ts");
    return readFiles(desk, files, profile ?? null, strict);
  },
});
