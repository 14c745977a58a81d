// Which machine, part and task an entry means, by the workshop file.
import { oneOf, UsageError, type Workshop } from "../../shared/index.ts";

export interface Named {
  machine: string;
  part: string;
  task: string;
}

/** Something wrong with one of the words of an entry. */
export interface WordFault {
  field: string;
  value: unknown;
  expected: string;
}

export function machineFault({ machines }: Workshop, machine: string): WordFault | null {
  const ids = machines.map(({ id }) => id);
  return ids.includes(machine) ? null : { field: "machine", value: machine, expected: oneOf(ids, machine) };
}

/** The part that is meant: the named one, or the only one of the machine that has such a task. */
export function partFault(workshop: Workshop, machine: string, part: string): WordFault | null {
  const parts = workshop.machines.find(({ id }) => id === machine)?.parts ?? [];
  const ids = parts.map(({ id }) => id);
  if (ids.includes(part)) return null;
  return {
    field: "part",
    value: part,
    expected: ids.length === 0 ? `a part of ${machine}; the workshop file has none` : oneOf(ids, part),
  };
}

export function taskFault(workshop: Workshop, machine: string, part: string, task: string): WordFault | null {
  const tasks = workshop.machines.find(({ id }) => id === machine)?.parts.find(({ id }) => id === part)?.tasks ?? [];
  const ids = tasks.map(({ id }) => id);
  if (ids.includes(task)) return null;
  const expected = ids.length === 0 ? `a task of ${machine}'s ${part}; the workshop file has none` : oneOf(ids, task);
  return { field: "task", value: task, expected };
}

/** The first word that names nothing in the workshop file, or null. */
export const placeFault = (workshop: Workshop, { machine, part, task }: Named): WordFault | null =>
  machineFault(workshop, machine) ?? partFault(workshop, machine, part) ?? taskFault(workshop, machine, part, task);

/** The named task; a part may be left out where only one of the machine has such a task. Throws UsageError. */
export function placeOf(
  workshop: Workshop,
  { machine, part, task }: { machine: string; part?: string | undefined; task: string },
): Named {
  const wrongMachine = machineFault(workshop, machine);
  if (wrongMachine) throw new UsageError(wrongMachine);
  const parts = workshop.machines.find(({ id }) => id === machine)?.parts ?? [];
  const having = parts.filter(({ tasks }) => tasks.some(({ id }) => id === task));
  if (part === undefined && having.length !== 1) {
    const ids = (having.length > 0 ? having : parts).map(({ id }) => id);
    throw new UsageError({ field: "part", value: null, expected: ids.length === 0 ? "a machine with parts" : oneOf(ids) });
  }
  const named = { machine, part: part ?? having[0]!.id, task };
  const wrong = placeFault(workshop, named);
  if (wrong) throw new UsageError(wrong);
  return named;
}
