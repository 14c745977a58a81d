import { resolve } from "node:path";
import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { type Answer, type Command, flag, storeCommand } from "./command.ts";

const FOUND = ["good", "worn", "failed", "damaged", "unknown"] as const;

const named = {
  machine: z.string().describe("the machine's id").meta({ placeholder: "M" }),
  part: z
    .string()
    .optional()
    .describe("the part's id; may be left out where only one part of the machine has such a task")
    .meta({ placeholder: "P" }),
  task: z.string().describe("the task's id").meta({ placeholder: "T" }),
};

/** Over the web readings may also come as {"pressure drop": 1.1}. */
const readings = z
  .union([
    z.array(z.string()),
    z.string().transform((text) => [text]),
    z.record(z.string(), z.number()).transform((all) => Object.entries(all).map(([name, value]) => `${name}=${value}`)),
  ])
  .default([])
  .describe("a reading taken with it, NAME=VALUE; of several stops or places all values, the mean counts")
  .meta({ type: "array", placeholder: "NAME=VALUE" });

const from0 = (what: string) => z.coerce.number().min(0).optional().describe(what);

const facts = {
  time: z.string().optional().describe("when it was done, or the earliest it may have been").meta({ placeholder: "TIME" }),
  until: z.string().optional().describe("the latest it may have been done: some time last week").meta({ placeholder: "TIME" }),
  why: z.string().optional().describe("why it was done: planned, condition, accident, day-one").meta({ placeholder: "WHY" }),
  meter: from0("the hour meter's reading").meta({ placeholder: "HOURS" }),
  reading: readings,
  cost: from0("what it cost").meta({ placeholder: "AMOUNT" }),
  note: z.string().optional().describe("anything else").meta({ placeholder: "TEXT" }),
  by: z.string().optional().describe("who did it").meta({ placeholder: "NAME" }),
  serial: z.string().optional().describe("serial of the piece that is in the machine now").meta({ placeholder: "SERIAL" }),
};

const key = z
  .string()
  .min(8)
  .max(100)
  .optional()
  .describe("a name of its own for this entry: sent twice, it is stored once")
  .meta({ placeholder: "KEY" });

const id = z.coerce.number().int().min(1).describe("the record's id, as service list shows it");

type Rows = Record<string, unknown>[];

export const serviceAdd = storeCommand({
  name: "service add",
  summary: "record what was done to a machine, and how the part was found",
  examples: [
    "almanac service add --machine planer --part knives --task sharpen --found worn --meter 812.4",
    "almanac service add --machine planer --task replace --found failed --time 2026-03-02 --until 2026-03-08",
  ],
  options: z.object({
    ...named,
    found: z.enum(FOUND).describe("as found: good, worn (at its limit), failed, damaged (an accident), unknown (nobody looked)"),
    ...facts,
    fromShelf: z.coerce
      .number()
      .int()
      .min(0)
      .optional()
      .describe("pieces taken from the shelf; else one where a part is replaced today")
      .meta({ placeholder: "N" }),
    key,
    twice: flag("it was done twice within half an hour"),
  }),
  needs: "writes",
  http: "POST",
  need: "do-service",
  async run(desk, typed) {
    const { GENERAL_CAUTIONS } = await import("../../analytics/index.ts");
    const { addRecord } = await import("../service/record.ts");
    const { row, isRepeated } = await addRecord(desk, typed);
    return {
      ...(isRepeated ? { trail: null } : {}),
      head: { repeated: isRepeated, cautions: GENERAL_CAUTIONS },
      list: { name: "services", rows: [row] as unknown as Rows },
    };
  },
});

export const serviceImport = storeCommand({
  name: "service import",
  summary: "read a list of old records (CSV); every fault is told by its line, and the same list twice adds nothing",
  examples: ["almanac service import service.csv", "almanac service import service.csv --good-lines"],
  operands: "<file>",
  options: z.object({
    file: z
      .string()
      .describe("the list, with the header time,machine,part,task,found,meter,cost,note,by,until,why,reading,serial"),
    goodLines: flag("store the lines without a fault though others have one; else nothing is stored"),
  }),
  needs: "writes",
  need: "do-service",
  async run(desk, { file, goodLines }) {
    const { loadText } = await import("../../shared/index.ts");
    const { importRecords } = await import("../service/import.ts");
    const path = resolve(desk.surroundings.cwd, file);
    const { services, faults, ...counts } = await importRecords(desk, loadText(path, "file"), file, { goodLines });
    const head = { file, ...counts, faults };
    return {
      head,
      list: { name: "services", rows: services as unknown as Rows },
      text: importText(file, counts, faults),
      exitCode: faults.length > 0 && !goodLines ? 2 : 0,
    } satisfies Answer;
  },
});

interface Counts {
  lines: number;
  known: number;
  good: number;
  stored: number;
}

function importText(
  file: string,
  { lines, known, good, stored }: Counts,
  faults: { line: number; field: string; value: unknown; expected: string }[],
): string {
  const told = faults.map(
    ({ line, field, value, expected }) =>
      `${file} line ${line}: ${field}${value === null ? "" : ` ${JSON.stringify(value)}`}: expected ${expected}\n`,
  );
  const sums = `${lines} lines read: ${stored} stored, ${known} known already`;
  if (faults.length === 0) return `${sums}\n`;
  const offer =
    stored > 0 || good === 0
      ? `${sums}, ${faults.length} faults as above\n`
      : `nothing is stored: ${faults.length} faults as above. ${good} lines are good; --good-lines stores just them\n`;
  return `${told.join("")}${offer}`;
}

export const serviceList = storeCommand({
  name: "service list",
  summary: "what was done, in order of time; undone and corrected records are marked",
  examples: ["almanac service list --machine planer", "almanac service list --since 2026-01-01 --json"],
  options: z.object({
    machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }),
    part: z.string().optional().describe("only this part").meta({ placeholder: "P" }),
    task: z.string().optional().describe("only this task").meta({ placeholder: "T" }),
  }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, isAsOfAsked }, wanted) {
    const { GENERAL_CAUTIONS } = await import("../../analytics/index.ts");
    const { listRecords } = await import("../service/record.ts");
    const { since, until, asOf } = span;
    const rows = await listRecords(connection, { ...wanted, since, until, asOf: isAsOfAsked ? asOf : undefined });
    return { head: { cautions: GENERAL_CAUTIONS }, list: { name: "services", rows: rows as unknown as Rows } };
  },
});

export const serviceUndo = storeCommand({
  name: "service undo",
  summary: "take back a record entered within the last day",
  examples: ["almanac service undo 12"],
  operands: "<id>",
  options: z.object({ id }),
  needs: "writes",
  http: "POST",
  path: "service/:id/undo",
  need: "do-service",
  async run(desk, { id }) {
    const { undoRecord } = await import("../service/record.ts");
    return { head: {}, list: { name: "services", rows: [await undoRecord(desk, id)] as unknown as Rows } };
  },
});

export const serviceCorrect = storeCommand({
  name: "service correct",
  summary: "put a corrected line in a record's stead; the old line stays, marked",
  examples: [
    "almanac service correct 12 --found worn --note 'was entered as good'",
    "almanac service correct 12 --never-done --note 'wrong machine'",
  ],
  operands: "<id>",
  options: z.object({
    id,
    machine: named.machine.optional(),
    part: named.part,
    task: named.task.optional(),
    found: z.enum(FOUND).optional().describe("as found"),
    ...facts,
    neverDone: flag("it was never done"),
  }),
  needs: "writes",
  http: "POST",
  path: "service/:id/correct",
  need: "do-service",
  async run(desk, { id, ...change }) {
    const { correctRecord } = await import("../service/record.ts");
    return { head: {}, list: { name: "services", rows: (await correctRecord(desk, id, change)) as unknown as Rows } };
  },
});

export const serviceAsks = storeCommand({
  name: "service asks",
  summary: "tasks of which nobody has said when they were last done; service about answers",
  examples: ["almanac service asks"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  path: "service/asks",
  need: "see-service",
  async run({ connection, span }) {
    const { usedSoFar } = await import("../../analytics/index.ts");
    const { tasks } = await usedSoFar(connection, { asOf: span.asOf, zone: span.zone });
    const rows = tasks
      .filter(({ isUnknown }) => isUnknown)
      .map(({ task, cautions }) => ({
        machine: task.machine,
        part: task.part,
        task: task.task,
        question: `${task.machineName}, ${task.partName}: ${task.taskName} last done about when?`,
        cautions,
      }));
    return { head: {}, list: { name: "asks", rows } };
  },
});

export const serviceAbout = storeCommand({
  name: "service about",
  summary: "say about when a task was last done, on day one: some time between two days",
  examples: ["almanac service about --machine planer --task sharpen --time 2026-01-01 --until 2026-01-31"],
  options: z.object({
    ...named,
    time: z.string().describe("the earliest it may have been").meta({ placeholder: "TIME" }),
    until: z.string().describe("the latest it may have been").meta({ placeholder: "TIME" }),
    note: facts.note,
    by: z.string().optional().describe("who says so").meta({ placeholder: "NAME" }),
    key,
  }),
  needs: "writes",
  http: "POST",
  path: "service/about",
  need: "do-service",
  async run(desk, typed) {
    const { addRecord } = await import("../service/record.ts");
    // How it was found then nobody knows any more; that is an answer, not a preset.
    const { row, isRepeated } = await addRecord(desk, {
      ...typed,
      found: "unknown",
      why: "day-one",
      reading: [],
      fromShelf: 0,
      twice: false,
    });
    const list = { name: "services", rows: [row] as unknown as Rows };
    return { ...(isRepeated ? { trail: null } : {}), head: { repeated: isRepeated }, list };
  },
});

export const serviceCatalogue = storeCommand({
  name: "service catalogue",
  summary: "what is usually done to a class of part, to start from; the maker's manual wins",
  examples: ["almanac service catalogue", "almanac service catalogue --class belt"],
  options: z.object({ class: z.string().optional().describe("only this class").meta({ placeholder: "C" }) }),
  needs: "reads",
  http: "GET",
  path: "service/catalogue",
  need: "see-service",
  async run(_desk, { class: partClass }) {
    const { CATALOGUE, catalogueFor } = await import("../../analytics/index.ts");
    const rows = partClass === undefined ? CATALOGUE : catalogueFor(partClass);
    if (rows.length === 0) {
      const classes = [...new Set(CATALOGUE.map((task) => task.class))];
      const { oneOf } = await import("../../shared/index.ts");
      throw new UsageError({ field: "class", value: partClass, expected: oneOf(classes, partClass) });
    }
    return { head: {}, list: { name: "tasks", rows: rows as unknown as Rows } };
  },
});

export const serviceCommands: readonly Command[] = [
  serviceAdd,
  serviceImport,
  serviceList,
  serviceUndo,
  serviceCorrect,
  serviceAsks,
  serviceAbout,
  serviceCatalogue,
];
