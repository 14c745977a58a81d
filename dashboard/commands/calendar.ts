import { z } from "zod";
import { ask, question } from "../../shared/question.ts";
import { forBoard, type Row, storeCommand } from "./command.ts";

const localClock = question(import.meta.url, "../questions/calendar.sql");

export const calendar = storeCommand({
  name: "calendar",
  summary: "what day it is at the workshop, and the local days on which its log begins and ends",
  examples: ["almanac calendar", "almanac calendar --as-of now --json"],
  options: z.object({}),
  needs: "reads",
  goesWithoutWorkshop: true,
  http: "GET",
  need: "come-in",
  forBoard: forBoard({
    options: z.object({}),
    async run(desk) {
      const { calendarForBoard } = await import("../access/board/answers.ts");
      return calendarForBoard(desk);
    },
  }),
  async run({ connection, span: { asOf, zone }, workshop }) {
    const { spanOfLog } = await import("../upkeep.ts");
    const { firstEvent, lastEvent } = await spanOfLog(connection);
    const [local] = await ask<Row>(connection, localClock, { now: asOf, first: firstEvent, last: lastEvent, zone });
    const { workshop: place, privacy } = workshop.workshop;
    return {
      head: {
        workshop: place.name,
        zone,
        isSetUp: !workshop.isBlank,
        trouble: workshop.trouble ?? null,
        badgesAre: privacy.badges,
        keepBadgesMonths: privacy.keep_badges_months ?? null,
        now: asOf,
        firstEvent,
        lastEvent,
        ...local,
      },
    };
  },
});
