import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { loadProfile } from "../../shared/profile.ts";
import { loadWorkshop, problemsOf } from "../../shared/workshop.ts";

const file = (name: string): string => fileURLToPath(new URL(`../fixtures/workshop/${name}`, import.meta.url));

test("the example workshop has no problem, and what is left open is filled in", () => {
  expect(problemsOf(file("quarry-street.yaml"))).toEqual([]);
  const { workshop, roster, profilePath } = loadWorkshop(file("quarry-street.yaml"));
  expect(profilePath).toBe(file("reader-v2.yaml"));
  const [planer, collector, saw] = workshop.machines;
  expect(planer?.stations).toEqual([
    { station: "21", from: "2023-05-01", until: "2025-03-01" },
    { station: "53", from: "2025-03-01" },
  ]);
  expect(planer?.run_factor).toEqual({ low: 0.35 * 0.8, best: 0.35, high: 0.35 * 1.2 });
  expect(collector?.driven_by).toEqual({ planer: { load: 6 }, "band-saw": { load: 1 } });
  expect(saw?.stations).toEqual([{ station: "007" }]);
  expect(saw?.hazard).toBe("medium");
  expect(workshop.findings["long-session"]).toEqual({ on: true, false_discovery: 0.02 });
  expect(roster.map(({ badge }) => badge)).toEqual(["00417", "3C91"]);
});

test("the example profile reads as it is meant", () => {
  const profile = loadProfile(file("reader-v2.yaml"));
  expect(profile.fields.time).toMatchObject({ column: ["When"], format: "%d/%m/%Y %H:%M:%S" });
  expect(profile.fields.station).toEqual({ column: ["Unit"] });
  expect(profile.fields.event).toEqual({
    column: ["Action"],
    map: { IN: "enable", OUT: "release", NO: "refuse" },
    ignore: ["PING"],
  });
  expect(profile).toMatchObject({ delimiter: ";", quote: '"', header: true, earliest: 2015, ends: "station" });
});
