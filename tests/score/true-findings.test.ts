import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { loadTruth, rowsOf, writeSampleWorkshop } from "../../sample-logs/index.ts";
import { FINDING_RULES, loadWorkshop } from "../../shared/index.ts";
import { isSame, type PlantedRow, trueFindings } from "./true-findings.ts";

const folder = mkdtempSync(join(tmpdir(), "true-findings-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const worldOf = (name: string, options: { seed: number; years?: number; mess?: boolean; findings?: boolean }) => {
  const made = writeSampleWorkshop({ dir: join(folder, name), ...options });
  const truth = loadTruth(made.truth);
  return { truth, found: trueFindings(truth, loadWorkshop(made.workshop)) };
};

test("what was planted is what the definitions find", () => {
  const { truth, found } = worldOf("full", { seed: 6 });
  const planted = rowsOf<PlantedRow>(truth, "planted");
  const missed = planted.filter(({ rule, machine, group, address, badge, from, until }) => {
    // Three times the norm is within what a member may do.
    if (rule === "long-session") return false;
    const flag = {
      rule,
      machine: machine === null ? null : truth.machines[machine]!,
      group: group === null ? null : truth.groups[group]!,
      station: address === null ? null : String(address).padStart(3, "0"),
      badge,
      from,
      until,
    };
    return !found.some((finding) => isSame(flag, finding));
  });
  // A cut, an outage or a machine already taken can undo a few of them.
  expect(missed.length).toBeLessThanOrEqual(planted.length * 0.03);
  expect(new Set(found.filter(({ isOptional }) => !isOptional).map(({ rule }) => rule))).toEqual(new Set(FINDING_RULES));
});

test("in a null world the definitions find nothing but a rare long session", () => {
  const { found } = worldOf("null", { seed: 6, mess: false, findings: false });
  expect(found.filter(({ isOptional, rule }) => !isOptional && rule !== "long-session")).toEqual([]);
});
