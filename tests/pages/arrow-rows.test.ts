import {
  DateDay,
  DateMillisecond,
  Float64,
  Int32,
  Table,
  tableFromArrays,
  tableToIPC,
  Utf8,
  vectorFromArray,
} from "apache-arrow";
import { expect, test } from "vitest";
import { rowsFromArrow } from "../../dashboard/pages/ask/arrow-rows.ts";

test("flat columns become the rows that JSON has", () => {
  const table = new Table({
    machine: vectorFromArray(["planer", null], new Utf8()),
    day: vectorFromArray(["2026-09-28", "2026-10-05"], new Utf8()),
    from: vectorFromArray([new Date("2026-09-27T22:30:00Z"), null], new DateMillisecond()),
    sessions: vectorFromArray([3, null], new Int32()),
    enabledHours_low: vectorFromArray([1.5, null], new Float64()),
    enabledHours_best: vectorFromArray([2, 0.25], new Float64()),
  });
  expect(rowsFromArrow(tableToIPC(table, "stream"))).toEqual([
    { machine: "planer", day: "2026-09-28", from: "2026-09-27T22:30:00.000Z", sessions: 3, enabledHours: { low: 1.5, best: 2 } },
    { machine: null, day: "2026-10-05", from: null, sessions: null, enabledHours: { low: null, best: 0.25 } },
  ]);
});

test("days as dates keep their name, and no rows are no rows", () => {
  const days = new Table({ fitted: vectorFromArray([new Date("2026-03-02T00:00:00Z")], new DateDay()) });
  expect(rowsFromArrow(tableToIPC(days, "stream"))).toEqual([{ fitted: "2026-03-02" }]);
  expect(rowsFromArrow(tableToIPC(tableFromArrays({ hours: new Float64Array(0) }), "stream"))).toEqual([]);
});
