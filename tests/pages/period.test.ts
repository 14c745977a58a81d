import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { daysBetween, firstOfMonth, isDay, mondayOf, plusDays, weekdayOf, weekOf } from "../../dashboard/pages/period/days.ts";
import { periodFromQuery, periodIds, queryWith } from "../../dashboard/pages/period/period.ts";

const logged = { today: "2026-11-25", firstDay: "2024-10-01", lastDay: "2026-11-25" };

describe("calendar days", () => {
  test("weeks as ISO 8601 counts them", () => {
    // Source: ISO 8601-1:2019, 5.4.4.2: week 1 holds the year's first Thursday. 2026-01-01 is a Thursday, 2027-01-01 a Friday.
    expect([weekOf("2026-01-01"), weekOf("2025-12-29"), weekOf("2027-01-01"), weekOf("2026-11-25")]).toEqual([1, 1, 53, 48]);
    expect(weekdayOf("2026-11-25")).toBe(2);
    expect(mondayOf("2026-11-29")).toBe("2026-11-23");
  });

  test("leap days and year ends", () => {
    expect(plusDays("2024-02-28", 1)).toBe("2024-02-29");
    expect(plusDays("2026-12-31", 1)).toBe("2027-01-01");
    expect(firstOfMonth("2026-01-31", -1)).toBe("2025-12-01");
    expect(daysBetween("2024-02-01", "2024-03-01")).toBe(29);
  });

  test("what is no day is refused", () => {
    expect(["2026-02-29", "2026-13-01", "26-01-01", "", undefined].map(isDay)).toEqual([false, false, false, false, false]);
    expect(isDay("2024-02-29")).toBe(true);
  });
});

describe("periods", () => {
  test("without a word the season that holds today", () => {
    expect(periodFromQuery({}, logged)).toMatchObject({
      id: "season",
      days: { since: "2026-09-01", until: "2026-11-30" },
      lived: { since: "2026-09-01", until: "2026-11-25" },
      before: { since: "2026-06-01", until: "2026-08-25" },
      laterOn: null,
      isLatestLogged: false,
    });
  });

  test("December belongs to the season of the year that follows", () => {
    expect(periodFromQuery({ period: "season", on: "2025-12-10" }, logged).days).toEqual({
      since: "2025-12-01",
      until: "2026-02-28",
    });
    expect(periodFromQuery({ period: "season", on: "2026-02-10" }, logged).days).toEqual({
      since: "2025-12-01",
      until: "2026-02-28",
    });
  });

  test("a period that is over is compared whole, one that runs to the same day", () => {
    expect(periodFromQuery({ period: "month", on: "2026-03-10" }, logged).before).toEqual({
      since: "2026-02-01",
      until: "2026-02-28",
    });
    expect(periodFromQuery({ period: "month" }, logged).before).toEqual({ since: "2026-10-01", until: "2026-10-25" });
    expect(periodFromQuery({ period: "week" }, logged).before).toEqual({ since: "2026-11-16", until: "2026-11-18" });
  });

  test("a log that ended long ago is shown where it ended", () => {
    const old = periodFromQuery({ period: "month" }, { ...logged, lastDay: "2026-09-30" });
    expect(old.days).toEqual({ since: "2026-09-01", until: "2026-09-30" });
    expect(old.isLatestLogged).toBe(true);
    expect(old.laterOn).toBe("2026-10-01");
  });

  test("own spans, and addresses that somebody shortened", () => {
    expect(periodFromQuery({ period: "span", from: "2026-05-04", to: "2026-05-10" }, logged)).toMatchObject({
      days: { since: "2026-05-04", until: "2026-05-10" },
      before: { since: "2026-04-27", until: "2026-05-03" },
    });
    expect(periodFromQuery({ period: "span", from: "2026-05-10", to: "2026-05-04" }, logged).id).toBe("season");
    expect(periodFromQuery({ period: "fortnight", on: "yesterday" }, logged).id).toBe("season");
  });

  test("an empty log has periods too", () => {
    const empty = { today: "2026-11-25", firstDay: null, lastDay: null };
    for (const period of periodIds) expect(periodFromQuery({ period }, empty).days.since <= "2026-11-25").toBe(true);
  });

  test("laws: a period holds its day, the one before ends the day before it starts, and is no longer", () => {
    const day = fc.integer({ min: 0, max: 780 }).map((days) => plusDays("2024-10-01", days));
    fc.assert(
      fc.property(fc.constantFrom("week", "month", "season", "year"), day, (period, on) => {
        const { days, lived, before } = periodFromQuery({ period, on }, logged);
        expect(days.since <= on && on <= days.until).toBe(true);
        expect(lived!.until <= logged.today).toBe(true);
        expect(before!.until < days.since).toBe(true);
        if (lived!.until === days.until) expect(plusDays(before!.until, 1)).toBe(days.since);
        else expect(daysBetween(before!.since, before!.until)).toBeLessThanOrEqual(daysBetween(lived!.since, lived!.until));
      }),
      { seed: 13, numRuns: 400 },
    );
  });
});

test("addresses keep what they don't change", () => {
  expect(queryWith({ period: "week", find: "saw" }, { period: "year", on: undefined })).toBe("?period=year&find=saw");
  expect(queryWith({}, {})).toBe("");
});
