import { z } from "zod";
import { ask, question } from "../../shared/question.ts";
import { type Row, storeCommand } from "./command.ts";

const everyReject = question(import.meta.url, "../questions/rejects.sql");

export const rejects = storeCommand({
  name: "rejects",
  summary: "every line that was not understood: file, line, text and why",
  examples: ["almanac rejects"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-log",
  async run({ connection }) {
    return { head: {}, list: { name: "rejects", rows: await ask<Row>(connection, everyReject) } };
  },
});
