import { z } from "zod";
import { flag, type Row, storeCommand } from "./command.ts";

export const rejects = storeCommand({
  name: "rejects",
  summary: "every line that was not understood: file, line, text and why",
  examples: ["almanac rejects", "almanac rejects --again --profile mended.yaml"],
  options: z.object({
    again: flag("read just these lines again, by the mended profile"),
    profile: z.string().optional().describe("the mended profile, else the workshop file's").meta({ placeholder: "FILE" }),
  }),
  needs: "reads",
  need: "see-log",
  http: "GET",
  async run(desk, { again, profile }) {
    const { listRejects } = await import("../../ingest/index.ts");
    if (again) {
      const { readRejectsAgain } = await import("../reading.ts");
      await readRejectsAgain(desk, profile ?? null);
    }
    return { head: {}, list: { name: "rejects", rows: (await listRejects(desk.connection)) as unknown as Row[] } };
  },
});
