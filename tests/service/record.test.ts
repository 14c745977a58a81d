// The record from the outside: adding, undoing, correcting, importing, and what follows for what is used and due.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ConflictError, UsageError } from "../../shared/errors.ts";
import { type Bench, openBench, workshopText } from "./shop.ts";

let bench: Bench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

const asOf = "2025-05-12T00:00:00Z";
interface Task {
  machine: string;
  part: string;
  task: string;
  state: string;
  basis: string | null;
  used: { low: number | null; best: number | null; high: number | null } | null;
  byHours: { used: { low: number; best: number; high: number } } | null;
  interval: number | null;
  due: { early: string | null; median: string | null; late: string | null };
  notes: string[];
  cautions: string[];
  timesDone: number;
}
const due = async (at = asOf): Promise<Map<string, Task>> => {
  const { tasks } = (await bench.run("due", { asOf: at })) as { tasks: Task[] };
  return new Map(tasks.map((task) => [`${task.machine} ${task.part} ${task.task}`, task]));
};
const add = async (more: Record<string, unknown>) =>
  (await bench.run("service add", { machine: "planer", part: "knives", ...more })).services[0];

describe("used and due", () => {
  test("hours since the fitting are those of the log since then", async () => {
    const knives = (await due()).get("planer knives replace")!;
    const { rows } = await bench.run("hours", { asOf, machine: "planer" });
    expect(knives.used!.best).toBeCloseTo(rows[0].runHours.best, 9);
    // Fifty weekdays of two hours, half of them running.
    expect(knives.used).toEqual({ low: 50, best: 50, high: 50 });
    expect(knives.state).toBe("overdue");
    // The fortieth hour was that of the fortieth weekday: Friday of the eighth week.
    expect(knives.due.median).toBe("2025-04-25");
  });

  test("load-hours, starts, days, and what nobody knows", async () => {
    const tasks = await due();
    // Never cleaned, age unknown: at least what the log has seen, 100 h from the planer by 6 and 100 h from the lathe.
    expect(tasks.get("dust-collector filter clean")).toMatchObject({
      state: "unknown",
      used: { low: 700, best: null, high: null },
    });
    expect(tasks.get("lathe contactor replace")).toMatchObject({
      basis: "starts",
      state: "unknown",
      used: { low: 50, best: null },
    });
    expect(tasks.get("compressor tank inspect")).toMatchObject({ state: "unknown", basis: "days" });
    const { asks } = await bench.run("service asks", { asOf });
    expect(asks.map(({ question }: { question: string }) => question)).toEqual([
      "Metal lathe, contactor: replace last done about when?",
      "Dust collector, filter: clean last done about when?",
      "Compressor, tank: inspect last done about when?",
    ]);
  });

  test("an answer of day one is a span, and its use a range", async () => {
    await bench.run("service about", {
      machine: "lathe",
      part: "contactor",
      task: "replace",
      time: "2025-03-31",
      until: "2025-04-06",
    });
    const contactor = (await due()).get("lathe contactor replace")!;
    // Six weeks of five starts after it, seven with it; best in the middle.
    expect(contactor).toMatchObject({ state: "later", used: { low: 25, best: 27.5, high: 30 } });
  });

  test("what happened after the as-of time is not known", async () => {
    const { id } = await add({ task: "sharpen", found: "worn", time: "2025-04-28T08:00" });
    expect((await due()).get("planer knives sharpen")!.used!.best).toBeCloseTo(10, 9);
    expect((await due("2025-04-27T00:00:00Z")).get("planer knives sharpen")!.used!.best).toBeCloseTo(40, 9);
    await bench.run("service undo", { id });
    expect((await due()).get("planer knives sharpen")!.used!.best).toBeCloseTo(50, 9);
  });

  test("found dull when somebody looked: now, whatever the hours say; sharpened: no more", async () => {
    const first = await add({ task: "sharpen", found: "good", time: "2025-05-09T18:00" });
    const second = await add({ task: "inspect", found: "worn", time: "2025-05-10T18:00" });
    const sharpen = (await due()).get("planer knives sharpen")!;
    expect(sharpen.state).toBe("now");
    expect(sharpen.due).toEqual({ early: "2025-05-10", median: "2025-05-10", late: "2025-05-10" });
    expect(sharpen.notes.join()).toMatch(/found worn at inspect/);
    const third = await add({ task: "sharpen", found: "worn", time: "2025-05-11T18:00" });
    expect((await due()).get("planer knives sharpen")!.state).not.toBe("now");
    for (const { id } of [first, second, third]) await bench.run("service undo", { id });
  });

  test("a reading at its limit is due that day", async () => {
    const ids: number[] = [];
    const put = async (task: string, time: string, value: number) => {
      const { services } = await bench.run("service add", {
        machine: "dust-collector",
        part: "filter",
        task,
        found: "good",
        time,
        reading: [`pressure drop=${value}`],
      });
      ids.push(services[0].id);
    };
    await put("clean", "2025-04-01T10:00", 1.4);
    expect((await due()).get("dust-collector filter clean")!.state).toBe("overdue");
    for (const id of ids) await bench.run("service undo", { id });
  });

  test("no record makes a used-up figure negative, and the order of entry doesn't matter", async () => {
    const entry = fc.record({
      task: fc.constantFrom("replace", "sharpen", "inspect"),
      day: fc.integer({ min: 0, max: 60 }),
      span: fc.integer({ min: 0, max: 6 }),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(entry, { minLength: 1, maxLength: 5 }), async (entries) => {
        const enter = async (order: typeof entries) => {
          const ids: number[] = [];
          for (const { task, day, span } of order) {
            const time = new Date(Date.UTC(2025, 2, 1 + day, 10)).toISOString();
            const until = new Date(Date.UTC(2025, 2, 1 + day + span, 10)).toISOString();
            ids.push((await add({ task, found: "unknown", time, until, twice: true })).id);
          }
          const used = [...(await due())].map(([name, { used, interval }]) => ({ name, used, interval }));
          for (const id of ids) await bench.run("service undo", { id });
          return used.sort((a, b) => a.name.localeCompare(b.name));
        };
        const forth = await enter(entries);
        for (const { used } of forth) {
          for (const figure of [used?.low, used?.best, used?.high]) expect(figure ?? 0).toBeGreaterThanOrEqual(0);
          if (used?.best != null) expect(used.low!).toBeLessThanOrEqual(used.best);
          if (used?.best != null) expect(used.best).toBeLessThanOrEqual(used.high!);
        }
        expect(await enter([...entries].reverse())).toEqual(forth);
      }),
      { seed: 12, numRuns: 6 },
    );
  }, 120_000);
});

describe("entering", () => {
  test("how it was found is never preset", async () => {
    const error = await bench
      .answer("service add", { machine: "planer", part: "knives", task: "sharpen" })
      .catch((thrown) => thrown);
    expect(error).toBeInstanceOf(UsageError);
    expect(error.complaint).toMatchObject({ field: "found", expected: "one of good, worn, failed, damaged, unknown" });
  });

  test("unknown words are told with what would do, and nothing ahead of now is done", async () => {
    const told = async (more: Record<string, unknown>) =>
      (
        await bench
          .answer("service add", { machine: "planer", part: "knives", task: "sharpen", found: "good", ...more })
          .catch((thrown) => thrown)
      ).complaint;
    expect(await told({ machine: "plane" })).toMatchObject({
      field: "machine",
      expected: expect.stringContaining("did you mean planer?"),
    });
    expect(await told({ part: "knife" })).toMatchObject({ field: "part" });
    expect(await told({ task: "polish" })).toMatchObject({ field: "task", expected: "one of replace, sharpen, inspect" });
    expect(await told({ time: "2999-01-01" })).toMatchObject({ field: "time" });
    expect(await told({ time: "2025-03-02", until: "2025-02-02" })).toMatchObject({ field: "until" });
    expect(await told({ reading: ["dull"] })).toMatchObject({ field: "reading" });
  });

  test("sent twice with one key it arrives once", async () => {
    const tick = {
      machine: "planer",
      part: "knives",
      task: "sharpen",
      found: "worn",
      time: "2025-02-01T10:00",
      key: "phone-1-0001",
    };
    const first = await bench.run("service add", tick);
    const second = await bench.run("service add", tick);
    expect(second.services).toEqual(first.services);
    expect([first.repeated, second.repeated]).toEqual([false, true]);
    await bench.run("service undo", { id: first.services[0].id });
  });

  test("two volunteers who tick one task: one record, the other is told whose", async () => {
    const first = await add({ task: "sharpen", found: "worn", time: "2025-02-02T10:00", by: "Ada" });
    const error = await add({ task: "sharpen", found: "good", time: "2025-02-02T10:20", by: "Ben" }).catch((thrown) => thrown);
    expect(error).toBeInstanceOf(ConflictError);
    expect(error.known.service).toMatchObject({ id: first.id, by: "Ada" });
    const later = await add({ task: "sharpen", found: "good", time: "2025-02-02T10:40", by: "Ben" });
    const twice = await add({ task: "sharpen", found: "good", time: "2025-02-02T10:41", twice: true });
    for (const { id } of [first, later, twice]) await bench.run("service undo", { id });
  });

  test("a correction keeps the old line", async () => {
    const { id } = await add({ task: "inspect", found: "good", time: "2025-02-03T10:00", meter: 700 });
    const { services } = await bench.run("service correct", { id, found: "worn", note: "looked again" });
    expect(services).toMatchObject([
      { id, found: "good", undone: false },
      { corrects: id, found: "worn", meterHours: 700, note: "looked again" },
    ]);
    expect(services[0].correctedBy).toBe(services[1].id);
    await expect(bench.run("service correct", { id, found: "failed" })).rejects.toBeInstanceOf(UsageError);
    const gone = await bench.run("service correct", { id: services[1].id, neverDone: true });
    expect(gone.services[1]).toMatchObject({ withdrawn: true });
  });

  test("meter values join the machine's readings, and leave with their record", async () => {
    const connection = await bench.holder.store.connect();
    const readings = async () =>
      (await connection.runAndReadAll("SELECT hours FROM machine_meter")).getRows().map(([hours]) => hours);
    const { id } = await add({ task: "inspect", found: "good", time: "2025-02-04T10:00", meter: 812.4 });
    expect(await readings()).toEqual([812.4]);
    await bench.run("service undo", { id });
    expect(await readings()).toEqual([]);
    connection.closeSync();
  });

  test("a replacement of today takes one from the shelf; its undo puts it back", async () => {
    const stock = async () => (await bench.run("stock list", { machine: "planer" })).shelf[0].inStock;
    expect(await stock()).toBe(2);
    const { id } = await add({ task: "replace", found: "worn", time: "now", serial: "K2" });
    expect(await stock()).toBe(1);
    const { shelf } = await bench.run("stock list", { machine: "planer" });
    expect(shelf[0].serials).toMatchObject([{ serial: "K2", isFitted: true }]);
    await bench.run("service undo", { id });
    expect(await stock()).toBe(2);
    const old = await add({ task: "replace", found: "worn", time: "2025-02-05T10:00" });
    expect(await stock()).toBe(2);
    await bench.run("service undo", { id: old.id });
    await bench.run("stock add", { machine: "planer", part: "knives", kind: "bought", pieces: 3 });
    expect(await stock()).toBe(5);
    await bench.run("stock add", { machine: "planer", part: "knives", kind: "count", pieces: 4 });
    expect(await stock()).toBe(4);
  });
});

describe("outages and notes", () => {
  test("tagged out, told to the second who tries, and returned", async () => {
    const { outages } = await bench.run("outage add", {
      machine: "lathe",
      from: "2025-05-01T10:00",
      reason: "belt slips",
      by: "Ada",
    });
    expect(outages).toMatchObject([
      { machine: "lathe", from: "2025-05-01T09:00:00.000Z", until: null, reason: "belt slips", by: "Ada" },
    ]);
    const error = await bench.run("outage add", { machine: "lathe" }).catch((thrown) => thrown);
    expect(error).toBeInstanceOf(ConflictError);
    const ended = await bench.run("outage end", { id: outages[0].id, until: "2025-05-02" });
    // The day belongs to it.
    expect(ended.outages).toMatchObject([{ until: "2025-05-02T23:00:00.000Z" }]);
    expect((await bench.run("outage list", { asOf: "2025-05-01T12:00:00Z" })).outages).toMatchObject([{ until: null }]);
    const connection = await bench.holder.store.connect();
    const rows = (await connection.runAndReadAll("SELECT machine, reason FROM machine_outage")).getRows();
    connection.closeSync();
    expect(rows).toEqual([["lathe", "belt slips"]]);
  });

  test("a member's note stays open until somebody has looked", async () => {
    const { notes } = await bench.run("note add", { machine: "planer", text: "leaves ridges", key: "phone-2-0001" });
    await bench.run("note add", { machine: "planer", text: "leaves ridges", key: "phone-2-0001" });
    expect((await bench.run("note list", { open: true })).notes).toHaveLength(1);
    await bench.run("note close", { id: notes[0].id, by: "Ben" });
    expect((await bench.run("note list", { open: true })).notes).toHaveLength(0);
  });
});

describe("a list of old records", () => {
  test("1,000 lines with every fault in them: each told by its line, nothing stored; the good ones offered", async () => {
    const other = await openBench(workshopText, null);
    const header = "time,machine,part,task,found,meter,cost,note,by";
    const day = (n: number) => new Date(Date.UTC(2022, 0, 1 + n)).toISOString().slice(0, 10);
    const lines = Array.from(
      { length: 1000 },
      (_, n) => `${day(n)}T10:00,planer,knives,sharpen,worn,${n},12,"old, but good",Ada`,
    );
    const faults: [number, string, string][] = [
      [3, "31/02/2022 09:00,planer,knives,sharpen,worn,,,,", "time"],
      [17, ",planer,knives,sharpen,worn,,,,", "time"],
      [30, "2999-01-01,planer,knives,sharpen,worn,,,,", "time"],
      [44, "2022-02-02,plane,knives,sharpen,worn,,,,", "machine"],
      [101, "2022-02-02,planer,knife,sharpen,worn,,,,", "part"],
      [250, "2022-02-02,planer,knives,polish,worn,,,,", "task"],
      [333, "2022-02-02,planer,knives,sharpen,,,,,", "found"],
      [334, "2022-02-02,planer,knives,sharpen,dull,,,,", "found"],
      [500, "2022-02-02,planer,knives,sharpen,worn,many,,,", "meter"],
      [501, "2022-02-02,planer,knives,sharpen,worn,,-3,,", "cost"],
      [777, "2022-02-02,planer,knives,sharpen,worn,,,one,two,three", "line"],
      [998, "now,planer,knives,sharpen,worn,,,,", "time"],
    ];
    for (const [line, text] of faults) lines[line - 2] = text;
    lines[700] = "";
    lines[701] = lines[0]!;
    writeFileSync(join(other.dir, "old.csv"), `${header}\n${lines.join("\n")}\n`);
    const told = await other.run("service import", { file: "old.csv" });
    expect(told.faults.map(({ line, field }: { line: number; field: string }) => [line, field])).toEqual(
      faults.map(([line, , field]) => [line, field]),
    );
    expect(told).toMatchObject({ stored: 0, blank: 1, known: 1, good: 986, services: [] });
    const answer = await other.answer("service import", { file: "old.csv" });
    expect(answer.exitCode).toBe(2);
    expect(answer.text).toContain(
      'old.csv line 44: machine "plane": expected one of planer, lathe, dust-collector, compressor; did you mean planer?',
    );
    expect(answer.text).toContain("nothing is stored");
    const good = await other.run("service import", { file: "old.csv", goodLines: true });
    expect(good.stored).toBe(986);
    const again = await other.run("service import", { file: "old.csv", goodLines: true });
    expect(again).toMatchObject({ stored: 0, known: 987 });
    expect((await other.run("service list")).services).toHaveLength(986);
    other.close();
  });

  test("several faults of one line are all told, and quotes may span lines", async () => {
    writeFileSync(
      join(bench.dir, "few.csv"),
      'time;machine;part;task;found;note\n2025-01-02;planer;knives;sharpen;good;"first\nsecond"\nyesterday;plane;x;y;fine;\n',
    );
    const { faults, good } = await bench.run("service import", { file: "few.csv" });
    expect(faults.map(({ line, field }: { line: number; field: string }) => [line, field])).toEqual([
      [4, "time"],
      [4, "machine"],
      [4, "found"],
    ]);
    expect(good).toBe(1);
  });

  test("a list without the columns that matter is no such list", async () => {
    writeFileSync(join(bench.dir, "other.csv"), "a,b\n1,2\n");
    await expect(bench.run("service import", { file: "other.csv" })).rejects.toThrow(/time/);
    await expect(bench.run("service import", { file: "none.csv" })).rejects.toBeInstanceOf(UsageError);
  });
});
