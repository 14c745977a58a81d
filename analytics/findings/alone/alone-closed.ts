// One person alone while the workshop was closed.
import { EXACT, rule } from "../rule.ts";
import { listText, minutesText } from "../sentences.ts";
import { minutesAlone } from "./minutes.ts";
import { type AloneKnobs, judgedClosed, within } from "./stretches.ts";

export const aloneClosed = rule<AloneKnobs>({
  name: "alone-closed",
  version: 1,
  severity: "medium",
  summary: "one person's badges were the only ones active while the workshop was closed",
  defaults: { place: "shop", gap_minutes: 5, after_minutes: 10 },
  // HSE, Working alone (INDG73), Health and Safety Executive; told from memory.
  why: "Ten minutes leave out whoever finishes a cut after closing; five bridge the walk from one machine to the next. Where an end was not seen, the minutes must hold in nine of ten joint worlds; a badge that left without having been seen to come counts as company. Working alone is not wrong in itself: some tasks need a second person, and out of hours nobody else will come by (HSE INDG73).",
  weighty: ["minutesBest"],
  async find(asked) {
    const judged = await judgedClosed(asked, asked.knobs, asked.knobs.after_minutes);
    const stretches = judged.filter(({ isAlone }) => isAlone);
    return stretches.map((stretch) => {
      const { sessions } = stretch;
      const own = within(stretch, sessions).filter(({ person }) => person === stretch.owner);
      const minutes = minutesAlone(stretch.owner ?? "", sessions, stretch.from, stretch.until);
      const machines = [...new Set(own.map(({ machineName }) => machineName))];
      const badges = [...new Set(own.flatMap(({ badge }) => badge ?? []))];
      const only = new Set(own.map(({ machine }) => machine)).size === 1 ? own[0]! : null;
      return {
        key: `${stretch.place ?? ""} ${stretch.from.toISOString()}`,
        machine: only?.machine ?? null,
        ...EXACT,
        room: stretch.place,
        station: only?.station ?? null,
        badge: badges[0] ?? null,
        from: stretch.from,
        until: stretch.until,
        severity: own.some(({ isHazard }) => isHazard) ? ("high" as const) : ("medium" as const),
        evidence: {
          text: `While the workshop was closed, badge ${listText(badges)} was in at ${listText(machines)} and for ${minutesText(minutes.best)} no other badge was in a holder${stretch.isShared ? "; before or after there was company" : ""}.`,
          unknown: unknownOfAlone,
          figures: {
            minutesLow: minutes.low,
            minutesBest: minutes.best,
            minutesHigh: minutes.high,
            longestMinutes: stretch.longestMinutes,
            machines: machines.join(", "),
          },
        },
      };
    });
  },
});

export const unknownOfAlone =
  "The log sees badges, not people: it can't know whether somebody without a badge was there, or a member between two machines, or who held this one. It is no lone-worker device.";
