// No task goes without its cautions, wherever it is told.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { CATALOGUE, cautionsFor } from "../../analytics/index.ts";
import { partClasses } from "../../analytics/stats/index.ts";
import { type Bench, openBench, workshopText } from "./shop.ts";

let bench: Bench;
beforeAll(async () => {
  bench = await openBench(workshopText, null);
});
afterAll(() => bench.close());

/** What must be said of any task, in whatever words. */
function expectCautions(cautions: readonly string[]): void {
  const text = cautions.join("\n");
  expect(text).toMatch(/isolate .* lock out .* at the isolator/i);
  expect(text).toMatch(/wait for run-down/);
  expect(text).toMatch(/control-circuit device is not an isolator/);
  expect(text).toMatch(/test that it is dead/i);
  expect(text).toMatch(/brake loses its power with the isolator/);
  expect(text).toMatch(/who may do it/i);
  expect(text).toMatch(/maker's manual and your local codes/);
  expect(text).toMatch(/forecast never replaces an inspection/);
  expect(text).not.toMatch(/\bsafe\b|\boff\b/i);
}

describe("cautions", () => {
  test("of every task that is due or asked about", async () => {
    const { tasks } = await bench.run("due");
    const { asks } = await bench.run("service asks");
    expect(tasks.length + asks.length).toBeGreaterThan(7);
    for (const { cautions } of [...tasks, ...asks]) expectCautions(cautions);
  });

  test("of every task of the starter catalogue, which has the classes of the priors", () => {
    for (const { cautions, practice } of CATALOGUE) {
      expectCautions(cautions);
      expect(practice).toMatch(/the maker's manual wins$/);
    }
    const classes = new Set(CATALOGUE.map((task) => task.class));
    expect(partClasses.filter((partClass) => !classes.has(partClass))).toEqual([]);
    // A brake's run-down is measured; it has no life of its own.
    expect([...classes].filter((partClass) => !partClasses.includes(partClass))).toEqual(["brake"]);
  });

  test("say where to isolate and who may do it, and what is a cutter's", () => {
    const task = {
      machineName: "Planer",
      class: "planer-knives",
      who: null,
      isolate: "turn the isolator by the door",
      source: null,
      task: "replace",
    };
    expect(cautionsFor(task).join()).toMatch(/at the isolator: turn the isolator by the door/);
    expect(cautionsFor(task).join()).toMatch(/out of service now/);
    expect(cautionsFor({ ...task, class: "belt" }).join()).not.toMatch(/out of service now/);
    expect(cautionsFor({ ...task, class: "contactor" }).join()).toMatch(/licensed electrician/);
    expect(cautionsFor({ ...task, who: "Ada, who is trained on it" })[0]).toBe("Who may do it: Ada, who is trained on it.");
    expect(cautionsFor({ ...task, class: "grinding-wheel" }).join()).toMatch(/ring-test/);
  });

  test("flat answers carry them too", async () => {
    const { relationFromRows, csvFromRelation } = await import("../../shared/relation.ts");
    const { tasks } = await bench.run("due");
    let csv = "";
    for await (const part of csvFromRelation(relationFromRows(tasks))) csv += part;
    expect(csv.match(/isolator/g)?.length).toBeGreaterThanOrEqual(tasks.length);
  });
});
