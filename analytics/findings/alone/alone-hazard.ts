// One person alone, in members' hours, with a machine that nobody should be alone on.
import { EXACT, rule } from "../rule.ts";
import { listText, minutesText } from "../sentences.ts";
import { unknownOfAlone } from "./alone-closed.ts";
import { minutesAlone } from "./minutes.ts";
import { type AloneKnobs, accompanied, hazardStretches, minutesInDoubt, sessionsAround, within } from "./stretches.ts";

export const aloneHazard = rule<AloneKnobs>({
  name: "alone-hazard",
  version: 1,
  severity: "high",
  summary: "one person's badges were the only ones active, one of them in a machine that nobody should be alone on",
  defaults: { place: "shop", gap_minutes: 5, after_minutes: 30 },
  // HSE, Working alone (INDG73), Health and Safety Executive; told from memory.
  why: "Half an hour leaves out the first to come and the last to go; five minutes bridge the walk from one cut to the next, as long as nobody else badges in. Where an end was not seen, the minutes must hold in nine of ten joint worlds; a badge that left without having been seen to come counts as company. Working alone is not wrong in itself, but some tasks need a second person (HSE INDG73): those of machines marked `alone: never`, or of high hazard where the file doesn't say.",
  weighty: ["minutesBest"],
  async find(asked) {
    const all = await hazardStretches(asked);
    const around = await sessionsAround(asked, all, asked.knobs.place === "room");
    const shared = await accompanied(asked, all, around);
    const judged = all.map((stretch, index) => ({ ...stretch, index, sessions: around[index]! }));
    const stretches = judged.filter((stretch) => {
      const minutes = (stretch.until.getTime() - stretch.from.getTime()) / 60_000 - minutesInDoubt(stretch, stretch.sessions);
      return minutes >= asked.knobs.after_minutes && !shared.has(stretch.index);
    });
    return stretches.map((stretch) => {
      const { sessions } = stretch;
      const own = within(stretch, sessions).filter(({ person }) => person === stretch.owner);
      const hazards = own.filter(({ isHazard }) => isHazard);
      const minutes = minutesAlone(stretch.owner ?? "", sessions, stretch.from, stretch.until);
      const longest = [...hazards].sort((a, b) => b.best.getTime() - b.from.getTime() - (a.best.getTime() - a.from.getTime()))[0];
      const machines = [...new Set(hazards.map(({ machineName }) => machineName))];
      const badges = [...new Set(hazards.flatMap(({ badge }) => badge ?? []))];
      return {
        key: `${stretch.place ?? ""} ${stretch.from.toISOString()}`,
        machine: longest?.machine ?? null,
        ...EXACT,
        room: stretch.place,
        station: longest?.station ?? null,
        badge: badges[0] ?? null,
        from: stretch.from,
        until: stretch.until,
        evidence: {
          text: `Badge ${listText(badges)} was in at ${listText(machines)}, on which nobody should be alone, and for ${minutesText(minutes.best)} no other badge was in a holder; no staff were due.`,
          unknown: unknownOfAlone,
          figures: {
            minutesLow: minutes.low,
            minutesBest: minutes.best,
            minutesHigh: minutes.high,
            machines: machines.join(", "),
          },
        },
      };
    });
  },
});
