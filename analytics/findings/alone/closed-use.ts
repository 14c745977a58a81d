// Several people while the workshop was closed.
import { EXACT, rule } from "../rule.ts";
import { listText, minutesText } from "../sentences.ts";
import { judgedClosed, within } from "./stretches.ts";

export const closedUse = rule({
  name: "closed-use",
  version: 1,
  severity: "low",
  summary: "machines were in use while the workshop was closed, by more than one person",
  defaults: { place: "shop", gap_minutes: 5 },
  why: "The opening hours are the workshop's own word. Five minutes bridge the walk from one machine to the next. A stretch in which somebody was alone long enough is alone-closed, and only that.",
  weighty: ["minutes", "people"],
  async find(asked) {
    const taken = asked.knobsOf("alone-closed");
    const least = taken === null ? Number.POSITIVE_INFINITY : (taken.after_minutes ?? 0);
    const judged = await judgedClosed(asked, asked.knobs, least);
    const stretches = judged.filter(({ isShared, isAlone }) => isShared && !isAlone);
    return stretches.map((stretch) => {
      const sessions = within(stretch, stretch.sessions);
      const machines = [...new Set(sessions.map(({ machineName }) => machineName))];
      // A badge that was only seen to leave is somebody too.
      const people = Math.max(2, new Set(sessions.map(({ person }) => person)).size);
      const minutes = (stretch.until.getTime() - stretch.from.getTime()) / 60_000;
      return {
        key: `${stretch.place ?? ""} ${stretch.from.toISOString()}`,
        machine: null,
        ...EXACT,
        room: stretch.place,
        station: null,
        badge: null,
        from: stretch.from,
        until: stretch.until,
        evidence: {
          text: `While the workshop was closed, the badges of at least ${people} people were in at ${listText(machines)} within ${minutesText(minutes)}.`,
          unknown:
            "The log can't know whether this was agreed on (a work party, a repair, a course), or who held the badges. Opening hours that changed belong in the workshop file.",
          figures: { minutes, people, machines: machines.join(", ") },
        },
      };
    });
  },
});
