import { describe, expect, test } from "vitest";
import { blindness, contrast, distance, lightness, rgbFromHex, seenBy, tokensByTheme } from "./colours.ts";

const words = ["ink", "quiet", "accent"];
const marks = ["mark", "mark-soft", "accent", "rule", "heat-1", "heat-2", "heat-3", "heat-4", "heat-5"];
/** Marks that stand in one chart and mean different things. */
const together = [
  ["accent", "mark-soft"],
  ["accent", "mark"],
  ["mark", "mark-soft"],
];
const heat = [0, 1, 2, 3, 4, 5].map((step) => `heat-${step}`);

test("contrast is reckoned as the standard says", () => {
  // Source: WCAG 2.2, definition of contrast ratio: black on white is 21, a colour on itself 1.
  expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 10);
  expect(contrast("#767676", "#ffffff")).toBeGreaterThanOrEqual(4.5);
  expect(contrast("#777777", "#ffffff")).toBeLessThan(4.5);
  expect(lightness([1, 1, 1])).toBeCloseTo(100, 6);
});

describe.each(Object.entries(tokensByTheme()))("by %s", (_theme, tokens) => {
  const colour = (name: string): string => {
    const hex = tokens.get(name);
    if (!hex) throw new Error(`no colour ${name} in tokens.css`);
    return hex;
  };

  test.each(words)("%s can be read on both grounds", (name) => {
    for (const ground of ["paper", "tint"]) expect(contrast(colour(name), colour(ground))).toBeGreaterThanOrEqual(4.5);
  });

  test.each(marks)("%s stands out as a mark", (name) => {
    expect(contrast(colour(name), colour("paper"))).toBeGreaterThanOrEqual(3);
  });

  test.each(together)("%s and %s stay apart in grey and for colour-blind eyes", (a, b) => {
    expect(Math.abs(lightness(rgbFromHex(colour(a!))) - lightness(rgbFromHex(colour(b!))))).toBeGreaterThanOrEqual(8);
    for (const matrix of Object.values(blindness))
      expect(distance(seenBy(colour(a!), matrix), seenBy(colour(b!), matrix))).toBeGreaterThanOrEqual(8);
  });

  test("the steps of a map go one way, each seen apart from the next, in grey too", () => {
    const steps = heat.map((name) => Math.abs(lightness(rgbFromHex(colour(name))) - lightness(rgbFromHex(colour("paper")))));
    for (const [i, step] of steps.slice(1).entries()) expect(step - steps[i]!).toBeGreaterThanOrEqual(6);
    for (const matrix of Object.values(blindness))
      for (const [i, name] of heat.slice(1).entries())
        expect(distance(seenBy(colour(name), matrix), seenBy(colour(heat[i]!), matrix))).toBeGreaterThanOrEqual(5);
  });

  test("no lamp colours: nothing is a plain red or green", () => {
    for (const hex of tokens.values()) {
      const [r, g, b] = rgbFromHex(hex);
      expect(r > 0.6 && g < 0.2 && b < 0.2, `${hex} is a red lamp`).toBe(false);
      expect(g > 1.3 * r && g > 1.3 * b, `${hex} is a green lamp`).toBe(false);
    }
  });
});
