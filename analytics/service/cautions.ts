// What is said beside every service task, wherever it is shown, printed, exported or sent. One place, so that none goes without.
//
// Sources: a badge switch, push button, relay or other control-circuit device is no energy isolating device, 29 CFR 1910.147(b);
// order of work (isolate, lock, let stored energy out, verify), 29 CFR 1910.147(d); prove dead with an instrument proved before and
// after, Basic Electrical Installation Work p. 28 (after HSE GS 38); a DC-injection brake loses its power with the isolator, HSE
// woodworking page on machine braking; dull, badly set, cracked saws out of service at once, 29 CFR 1910.213(s)(1), (7); grinding
// wheels inspected and sounded at each mounting, 29 CFR 1910.215(d)(1). Electrical work by a licensed or competent person, as the
// place's own code says: Electrical Safety Act 2002 (Queensland) s. 55 is one such.
import type { Task } from "./tasks.ts";

/** What the cautions of a task depend on. */
export type Cautioned = Pick<Task, "machineName" | "class" | "who" | "isolate" | "source" | "task">;

const CUTTERS = /blade|knives|knife|cutter|band|bit|saw|needle|chain|wheel/;
const WHEELS = /wheel/;
const ELECTRICAL = /contactor|relay|brush|lamp|element|tube|electr|motor|wiring|fuse/;

/** The cautions that hold for any task on any machine. */
export const GENERAL_CAUTIONS: readonly string[] = [
  "A badge holder, a stop button or any other control-circuit device is not an isolator: an empty badge holder says nothing about the machine's energy.",
  "If the machine has a motor brake, stop it by its stop button first and wait until everything stands still: the brake loses its power with the isolator, and the tool coasts.",
  "Let out or hold back what energy is stored: pressure, springs, heat, raised weights.",
  "Test that it is dead before you touch it; prove the tester before and after.",
  "A forecast never replaces an inspection.",
];

/** In the order of the work; never empty. */
export function cautionsFor({ machineName, class: partClass, who, isolate, source, task }: Cautioned): string[] {
  const kind = `${partClass ?? ""} ${task}`.toLowerCase();
  const [badge, brake, stored, dead, forecast] = GENERAL_CAUTIONS as [string, string, string, string, string];
  return [
    whoMay(who, ELECTRICAL.test(kind)),
    `Isolate ${machineName} and lock out its energy source at the isolator${isolate ? `: ${isolate}` : ""}; wait for run-down.`,
    badge,
    brake,
    stored,
    dead,
    ...(CUTTERS.test(kind)
      ? ["Found dull, cracked or badly set, a cutter comes out of service now, whatever the hours say."]
      : []),
    ...(WHEELS.test(kind)
      ? ["Look at and ring-test every wheel as it is mounted, and hold its marked speed against the spindle's."]
      : []),
    `Follow the maker's manual and your local codes. ${source ? `The interval here is from ${source}; the` : "The interval here is common practice, not the maker's word: the"} manual wins.`,
    forecast,
  ];
}

function whoMay(who: string | null, isElectrical: boolean): string {
  if (who) return `Who may do it: ${who}.`;
  if (isElectrical)
    return "Who may do it: electrical work is for a licensed electrician or a competent person, as your local code says.";
  return "Who may do it: somebody who is trained on this machine; what needs a licensed electrician or a competent person is theirs.";
}
