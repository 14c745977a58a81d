import { describe, expect, test } from "vitest";
import { changeWords } from "../../dashboard/pages/words/change.ts";
import { counted, listed, localeFromAccept, readerOf } from "../../dashboard/pages/words/reader.ts";

/** Without what one edition of the locale data writes and the next does not: kinds of blanks, blanks at dashes, a comma after the weekday. */
const plain = (text: string): string =>
  text
    .replaceAll(/[\u00a0\u2009\u202f]/g, " ")
    .replaceAll(" – ", "–")
    .replace(/^(\w+day),/, "$1");

describe("figures", () => {
  const british = readerOf("en-GB");
  const german = readerOf("de-DE");

  test("hours have as many digits as they deserve", () => {
    expect([0, 0.4231, 7.26, 41.18, 99.96, 1204.6].map(british.hours)).toEqual(["0", "0.42", "7.3", "41.2", "100.0", "1,205"]);
    expect([7.26, 1204.6].map(german.hours)).toEqual(["7,3", "1.205"]);
  });

  test("a range is shown where its ends differ as shown, and what is not known is said", () => {
    expect(british.range({ low: 38, best: 41.2, high: 44 })).toBe("41.2 (38.0–44.0)");
    expect(british.range({ low: 41.2, best: 41.2, high: 41.2 })).toBe("41.2");
    expect(british.range({ low: 41.19, best: 41.2, high: 41.21 })).toBe("41.2");
    expect(british.range({ low: null, best: 41.2, high: null })).toBe("41.2");
    expect(british.range({ low: null, best: null, high: null })).toBe("not known");
  });

  test("a share is never rounded to all or nothing", () => {
    expect([0, 0.00015, 0.027, 0.5, 0.9982, 1].map(british.share)).toEqual(["0%", "0.015%", "2.7%", "50%", "99.82%", "100%"]);
    expect(plain(german.share(0.027))).toBe("2,7 %");
  });

  test("counts and lists read as a sentence does", () => {
    expect(counted(british, 1, "machine")).toBe("1 machine");
    expect(counted(british, 12_345, "machine")).toBe("12,345 machines");
    expect(counted(british, 0, "person", "people")).toBe("0 people");
    expect([listed([]), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])]).toEqual(["", "a", "a and b", "a, b and c"]);
  });

  test("change since before", () => {
    expect(changeWords(112, 100, british)).toBe("12% more");
    expect(changeWords(50, 100, british)).toBe("50% less");
    expect(changeWords(100.2, 100, british)).toBe("as much as before");
    expect(changeWords(3, 0, british)).toBe("none before");
    expect(changeWords(0, 0, british)).toBe("as before, none");
  });
});

describe("dates", () => {
  test("a day keeps its name whatever the zone of the machine", () => {
    expect(readerOf("en-GB").day("2026-03-02")).toBe("2 March 2026");
    expect(readerOf("en-US").day("2026-03-02")).toBe("March 2, 2026");
    expect(readerOf("de-DE").day("2026-03-02")).toBe("2. März 2026");
    expect(plain(readerOf("en-GB").longDay("2026-01-01"))).toBe("Thursday 1 January 2026");
  });

  test("a span of days says what they share once", () => {
    expect(plain(readerOf("en-GB").days({ since: "2026-03-02", until: "2026-03-15" }))).toBe("2–15 March 2026");
    expect(readerOf("en-GB").days({ since: "2026-03-02", until: "2026-03-02" })).toBe("2 March 2026");
  });

  test("weeks start on Monday", () => {
    expect(readerOf("en-GB").weekdays()).toEqual(["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]);
  });

  test("a moment without its local clock is marked as UTC", () => {
    expect(readerOf("en-GB").utc("2026-09-08T19:41:05Z")).toBe("8 September 2026 at 19:41 UTC");
  });

  test("age in its largest unit", () => {
    const { age } = readerOf("en-GB");
    expect([0, 60_000, 59.9 * 60_000, 3_600_000, 47.9 * 3_600_000, 48 * 3_600_000, -5].map(age)).toEqual([
      "0 minutes",
      "1 minute",
      "59 minutes",
      "1 hour",
      "47 hours",
      "2 days",
      "0 minutes",
    ]);
  });
});

test("the first language that means something is the reader's", () => {
  expect(localeFromAccept("de-CH,de;q=0.9,en;q=0.8")).toBe("de-CH");
  expect(localeFromAccept("*, fr;q=0.5")).toBe("fr");
  expect(localeFromAccept("x'; drop, en-NZ")).toBe("en-NZ");
  expect(localeFromAccept(undefined)).toBe("en-GB");
});
