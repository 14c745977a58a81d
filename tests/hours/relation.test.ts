// A relation says the same as rows, as Arrow and as CSV, whatever it is made of.
import { tableFromIPC } from "apache-arrow";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  arrowFromRelation,
  csvFromRelation,
  type Relation,
  relationFromResult,
  relationFromRows,
  rowsFromRelation,
} from "../../shared/relation.ts";
import { openShop, type Shop } from "./shop.ts";

let shop: Shop;
beforeAll(async () => {
  shop = await openShop();
});
afterAll(() => shop.close());

async function arrowRows(relation: Relation): Promise<Record<string, unknown>[]> {
  const parts: Uint8Array[] = [];
  for await (const part of arrowFromRelation(relation)) parts.push(part);
  return tableFromIPC(Buffer.concat(parts))
    .toArray()
    .map((row) => row.toJSON());
}

async function csvText(relation: Relation): Promise<string> {
  let text = "";
  for await (const part of csvFromRelation(relation)) text += part;
  return text;
}

const many = `
  SELECT
    i::integer AS number,
    CASE WHEN i % 3 <> 0 THEN i / 7 END AS share_low,
    i / 5 AS share_best,
    i / 3 AS share_high,
    i % 2 = 0 AS even,
    CASE i % 4 WHEN 0 THEN NULL WHEN 1 THEN 'short' WHEN 2 THEN 'a text longer than twelve bytes ' || i ELSE 'ä€😀' END AS word,
    CASE WHEN i % 5 <> 0 THEN TIMESTAMPTZ '1969-12-31 23:59:59.5Z' + to_seconds(i) END AS moment,
    TIMESTAMP '2025-03-09 02:30:00' + to_seconds(i) AS clock,
    DATE '2025-03-09' + i::integer AS day,
    (CASE i % 3 WHEN 0 THEN 'open' WHEN 1 THEN 'lost' END)::ended AS ended
  FROM range(70000) AS t(i)
  WHERE i % 1000 <> 17`;

describe("a relation of DuckDB's chunks", () => {
  it("gives the same rows as JSON, Arrow and CSV", async () => {
    await shop.connection.run("CREATE TYPE ended AS ENUM ('open', 'lost')");
    const relation = relationFromResult(await shop.connection.run(many));
    const rows = rowsFromRelation<Record<string, unknown>>(relation);
    expect(relation.rowCount).toBe(69_930);
    expect(rows[0]).toEqual({
      number: 0,
      share: { low: null, best: 0, high: 0 },
      even: true,
      word: null,
      moment: null,
      clock: "2025-03-09T02:30:00",
      day: "2025-03-09",
      ended: "open",
    });
    expect(rows[1]).toMatchObject({
      share: { low: 1 / 7, best: 0.2, high: 1 / 3 },
      moment: "1970-01-01T00:00:00.500Z",
      ended: "lost",
    });
    const arrow = await arrowRows(relation);
    const time = (text: unknown) => (text === null ? null : Date.parse(`${text}`));
    expect(arrow.length).toBe(rows.length);
    for (let i = 0; i < rows.length; i += 397) {
      const { share, moment, clock, day, ...rest } = rows[i] as { share: Record<string, unknown> } & Record<string, unknown>;
      expect(arrow[i]).toEqual({
        ...rest,
        share_low: share.low,
        share_best: share.best,
        share_high: share.high,
        moment: time(moment),
        clock: time(`${clock}Z`),
        day: time(day),
      });
    }
    const csv = parse(await csvText(relation), { columns: true }) as Record<string, string>[];
    expect(csv.length).toBe(rows.length);
    const last = rows.at(-1) as { word: string; number: number; share: { best: number } };
    expect(csv.at(-1)).toMatchObject({ number: String(last.number), share_best: String(last.share.best), word: last.word });
  }, 300_000);

  it("makes a batch only when it is asked for", async () => {
    const relation = relationFromResult(await shop.connection.run("SELECT i::integer AS i FROM range(1000000) AS t(i)"));
    let made = 0;
    const counted: Relation = {
      ...relation,
      *batches(schema) {
        for (const batch of relation.batches(schema)) {
          made += 1;
          yield batch;
        }
      },
    };
    const stream = arrowFromRelation(counted);
    await stream.next();
    await stream.next();
    expect(made).toBeLessThanOrEqual(2);
    await stream.return(undefined);
    expect(made).toBeLessThanOrEqual(2);
  });

  it("is read again from the start, and may be empty", async () => {
    const relation = relationFromResult(await shop.connection.run("SELECT 1 AS a, 'x' AS b WHERE false"));
    expect(rowsFromRelation(relation)).toEqual([]);
    expect(await arrowRows(relation)).toEqual([]);
    expect(await csvText(relation)).toBe("a,b\r\n");
    expect(await csvText(relation)).toBe("a,b\r\n");
  });

  it("refuses types that have no place in it, by the column's name", async () => {
    const wide = await shop.connection.run("SELECT 1::bigint AS wide");
    expect(() => relationFromResult(wide)).toThrow(/column wide/);
    const list = await shop.connection.run("SELECT [1, 2] AS list");
    expect(() => relationFromResult(list)).toThrow(/column list/);
  });
});

describe("a relation of plain rows", () => {
  const rows = [
    { machine: "saw", hours: { low: 1, best: 2, high: null }, from: "2025-01-01T00:00:00Z", parts: ["a", "b"], isOpen: true },
    { machine: "=1+1", hours: { low: 0, best: 0.5, high: 1 }, from: null, parts: [], isOpen: false },
  ];

  it("flattens ranges, keeps times as times and lists as JSON", async () => {
    const relation = relationFromRows(rows);
    expect(relation.columns).toEqual([
      { name: "machine", kind: "text" },
      { name: "hours_low", kind: "double" },
      { name: "hours_best", kind: "double" },
      { name: "hours_high", kind: "double" },
      { name: "from", kind: "instant" },
      { name: "parts", kind: "text" },
      { name: "isOpen", kind: "boolean" },
    ]);
    expect(await arrowRows(relation)).toEqual([
      {
        machine: "saw",
        hours_low: 1,
        hours_best: 2,
        hours_high: null,
        from: Date.parse("2025-01-01T00:00:00Z"),
        parts: '["a","b"]',
        isOpen: true,
      },
      { machine: "=1+1", hours_low: 0, hours_best: 0.5, hours_high: 1, from: null, parts: "[]", isOpen: false },
    ]);
    expect(rowsFromRelation(relation)[0]).toMatchObject({ machine: "saw", hours: { low: 1, best: 2, high: null } });
  });

  it("takes the column kinds it is told, also of no rows", async () => {
    const relation = relationFromRows([], { machine: "text", hours: "double", from: "instant" });
    expect(relation.columns.map(({ kind }) => kind)).toEqual(["text", "double", "instant"]);
    expect(await csvText(relation)).toBe("machine,hours,from\r\n");
  });
});

describe("CSV", () => {
  it.each([
    ["=1+1", "'=1+1"],
    ["@cmd", "'@cmd"],
    ["-saw", "'-saw"],
    ["+1 saw", "'+1 saw"],
    ["\tx", "'\tx"],
    ["\rx", '"\'\rx"'],
    ["-12.5", "-12.5"],
    ["+3e4", "+3e4"],
    ['a "b", c', '"a ""b"", c"'],
    ["two\nlines", '"two\nlines"'],
  ])("writes %j as %j", async (cell, written) => {
    expect(await csvText(relationFromRows([{ a: cell }]))).toBe(`a\r\n${written}\r\n`);
  });
});
