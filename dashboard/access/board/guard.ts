// The last look at what goes to the board: nothing in it may be about one member.
import type { Answer } from "../../commands/command.ts";

/** Names of fields that hold a badge, a member's name, a line of the log, or a moment at which somebody was there. */
const members =
  /^(badges?|persons?|holders?|by|text|original|detail|note|peakAt|peakPeopleAt|peakUnitsAt|start|end|endBest|hourOfWeek)$/;

/** Gives the answer back; throws where a field of it is about one member or moment, whatever it holds but null. */
export function refuseMembersIn(answer: Answer): Answer {
  if (answer.list && "relation" in answer.list) throw new Error("an answer for the board has to be plain rows, made for it");
  look({ ...answer.head, rows: answer.list?.rows ?? [] }, "");
  return answer;
}

function look(value: unknown, at: string): void {
  if (value === null || typeof value !== "object" || value instanceof Date) return;
  for (const [name, inner] of Object.entries(value)) {
    const isOfMonth = name !== "day" || inner === null || /-01$/.test(String(inner));
    if (!Array.isArray(value) && inner !== null && (members.test(name) || !isOfMonth))
      throw new Error(`an answer for the board holds "${at}${name}", which is not for the board`);
    look(inner, Array.isArray(value) ? at : `${at}${name}.`);
  }
}
