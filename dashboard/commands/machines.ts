import { z } from "zod";
import { ask, question } from "../../shared/question.ts";
import { forBoard, type Row, storeCommand } from "./command.ts";

const everyMachine = question(import.meta.url, "../questions/machines.sql");

export const machines = storeCommand({
  name: "machines",
  summary: "every machine, its group, room and stations; also stations that no machine claims",
  examples: ["almanac machines"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-use",
  forBoard: forBoard({
    options: z.object({}),
    async run(desk) {
      const { machinesForBoard } = await import("../access/board/answers.ts");
      return machinesForBoard(desk);
    },
  }),
  async run({ connection }) {
    const rows = await ask<Row>(connection, everyMachine);
    return {
      head: {},
      list: { name: "machines", rows: rows.map((row) => ({ ...row, stations: JSON.parse(row.stations as string) })) },
    };
  },
});
