import type { DuckDBConnection } from "@duckdb/node-api";
import fc from "fast-check";
import { Temporal } from "temporal-polyfill";
import { afterAll, beforeAll, expect, test } from "vitest";
import { ensureOpening } from "../../shared/config-tables.ts";
import { WEEKDAYS } from "../../shared/opening-hours.ts";
import { openStore, type Store } from "../../shared/store.ts";
import type { WorkshopFile } from "../../shared/workshop.ts";
import { workshopSchema } from "../../shared/workshop-schema.ts";

let store: Store;
let connection: DuckDBConnection;
beforeAll(async () => {
  store = await openStore(":memory:");
  connection = await store.connect();
});
afterAll(() => {
  connection.closeSync();
  store.close();
});

type State = "staffed" | "member";
interface Typed {
  state: State;
  from: number;
  until: number;
}

const clockOf = (minute: number): string =>
  `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;

/** A typed span of a quarter-hour clock, often from about the hour that comes twice or not at all; `until` past 24:00 is the next day's. */
const typed = fc
  .record({
    state: fc.constantFrom<State>("staffed", "member"),
    from: fc.oneof(fc.integer({ min: 0, max: 95 }), fc.integer({ min: 4, max: 8 })),
    length: fc.integer({ min: 1, max: 95 }),
  })
  .map(({ state, from, length }): Typed => ({ state, from: from * 15, until: (from + length) * 15 }));
const textOf = ({ from, until }: Typed): string => `${clockOf(from)}-${clockOf(until > 1440 ? until - 1440 : until)}`;
/** At most one span of each state a day, as spans of one state don't overlap within a day. */
const dayOfSpans = fc.uniqueArray(typed, { maxLength: 2, selector: ({ state }) => state });

// The days around a change of clocks, by the IANA time zone database (see config-tables.test.ts).
const change = fc.constantFrom(
  { zone: "Europe/Lisbon", first: "2025-03-24" },
  { zone: "Europe/Lisbon", first: "2025-10-20" },
  { zone: "America/Halifax", first: "2025-03-03" },
  { zone: "America/Halifax", first: "2025-10-27" },
  { zone: "Australia/Lord_Howe", first: "2025-03-31" },
  { zone: "Australia/Lord_Howe", first: "2025-09-29" },
);

test("at every quarter of an hour the rows say what the file says, read by the clock on the wall", async () => {
  await fc.assert(
    fc.asyncProperty(
      change,
      fc.array(dayOfSpans, { minLength: 7, maxLength: 7 }),
      fc.array(fc.record({ day: fc.integer({ min: 0, max: 10 }), days: fc.integer({ min: 0, max: 2 }), spans: dayOfSpans }), {
        maxLength: 3,
      }),
      async ({ zone, first }, week, exceptions) => {
        const start = Temporal.PlainDate.from(first);
        const listed = (spans: readonly Typed[], state: State): string[] =>
          spans.filter((span) => span.state === state).map(textOf);
        const weekOf = (state: State) =>
          Object.fromEntries(WEEKDAYS.flatMap((day, index) => [[day, listed(week[index] ?? [], state)]]));
        const workshop = workshopSchema.parse({
          workshop: { name: "A", zone },
          hours: {
            staffed: weekOf("staffed"),
            member: weekOf("member"),
            exceptions: exceptions.map(({ day, days, spans }) => ({
              from: start.add({ days: day }).toString(),
              until: start.add({ days: day + days }).toString(),
              ...(spans.length === 0 ? { closed: true } : {}),
              ...Object.fromEntries(spans.map((span) => [span.state, [textOf(span)]])),
            })),
          },
        });
        const file: WorkshopFile = { path: "a", text: "", workshop, roster: [], profilePath: null, fingerprint: "" };
        await ensureOpening(connection, file, { horizonDays: 30, now: new Date(`${first}T12:00:00Z`) });

        const spans = Array.from({ length: 14 }, (_, days) => start.add({ days })).flatMap((day, index) => {
          const rule = exceptions.findLast((exception) => exception.day <= index && index <= exception.day + exception.days);
          return (rule?.spans ?? week[day.dayOfWeek - 1] ?? []).map(({ state, from, until }) => {
            const at = (minutes: number): number =>
              day.toPlainDateTime("00:00").add({ minutes }).toZonedDateTime(zone, { disambiguation: "compatible" })
                .epochMilliseconds;
            return { state, from: at(from), until: at(until) };
          });
        });
        const reader = await connection.runAndReadAll(
          "SELECT state, epoch_ms(from_at)::double, epoch_ms(until_at)::double FROM opening WHERE day BETWEEN $first::DATE AND $last::DATE",
          { first, last: start.add({ days: 13 }).toString() },
        );
        const rows = reader.getRows() as [State, number, number][];
        const stateAt = (list: readonly { state: State; from: number; until: number }[], instant: number): State | "closed" => {
          const held = list.filter(({ from, until }) => from <= instant && instant < until).map(({ state }) => state);
          return held.includes("staffed") ? "staffed" : (held[0] ?? "closed");
        };
        const quarters = Array.from(
          { length: 13 * 96 },
          (_, quarter) => start.toZonedDateTime(zone).epochMilliseconds + 86_400_000 + quarter * 900_000,
        ).filter((instant) => instant < start.add({ days: 13 }).toZonedDateTime(zone).epochMilliseconds);
        const read = rows.map(([state, from, until]) => ({ state, from, until }));
        expect(quarters.map((instant) => stateAt(read, instant))).toEqual(quarters.map((instant) => stateAt(spans, instant)));
        // No two rows hold at one instant.
        const sorted = read.toSorted((a, b) => a.from - b.from);
        expect(sorted.every((row, index) => index === 0 || (sorted[index - 1]?.until ?? 0) <= row.from)).toBe(true);
      },
    ),
    { seed: 20_260_412, numRuns: 30 },
  );
});
