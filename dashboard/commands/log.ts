import { z } from "zod";
import { ask, question } from "../../shared/question.ts";
import { type Row, storeCommand } from "./command.ts";

const everyReading = question(import.meta.url, "../questions/readings.sql");
const everyCoveredDay = question(import.meta.url, "../questions/coverage.sql");
const lastBackup = question(import.meta.url, "../questions/last-backup.sql");
const everyCause = question(import.meta.url, "../questions/causes.sql");

export const log = storeCommand({
  name: "log",
  summary: "how the data fares: what became of every line, what silenced stations, coverage by station and day",
  examples: ["almanac log", "almanac log --since 2026-01-01 --json"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-log",
  async run({ connection, span }) {
    const { since = null, until = null, zone } = span;
    const { spanOfLog } = await import("../upkeep.ts");
    const { firstEvent, lastEvent } = await spanOfLog(connection);
    const causes = await ask<Row>(connection, everyCause, { since, until, zone });
    const [backup = null] = await ask<Row>(connection, lastBackup, { zone });
    return {
      head: {
        backup,
        firstEvent,
        lastEvent,
        causes: causes.map((cause) => ({ ...cause, stations: JSON.parse(cause.stations as string) })),
        coverage: await ask<Row>(connection, everyCoveredDay, { since, until, zone }),
      },
      list: { name: "readings", rows: await ask<Row>(connection, everyReading, { zone }) },
    };
  },
});
