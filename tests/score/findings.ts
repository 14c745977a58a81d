// Findings: precision and recall by rule, recall by size, false flags against those expected, flags a week where nothing is wrong.
import { rowsOf, type Truth } from "../../sample-logs/index.ts";
import { fixed, markdown, percent } from "./measures.ts";
import { secondsFrom } from "./tool.ts";
import { isSame, type PlantedRow, type TrueFinding } from "./true-findings.ts";

export interface Flag {
  rule: string;
  machine: string | null;
  group: string | null;
  station: string | null;
  badge: string | null;
  from: string;
  until: string;
  expectedFalse: number;
}
export interface FindingsAnswer {
  findings: Flag[];
}

export interface RuleScore {
  rule: string;
  truths: number;
  found: number;
  flags: number;
  right: number;
  falseFlags: number;
  expectedFalse: number;
  sizes: { size: number; planted: number; found: number }[];
}

export function findingScores(
  rules: readonly string[],
  truth: Truth,
  trueOnes: readonly TrueFinding[],
  answer: FindingsAnswer,
): RuleScore[] {
  const planted = rowsOf<PlantedRow>(truth, "planted");
  return rules.map((rule) => {
    const flags = answer.findings
      .filter((flag) => flag.rule === rule)
      .map((flag) => ({ ...flag, from: secondsFrom(flag.from), until: secondsFrom(flag.until) }));
    const own = trueOnes.filter((item) => item.rule === rule);
    const certain = own.filter(({ isOptional }) => !isOptional);
    const deliberate = planted
      .filter((item) => item.rule === rule)
      .map((item) => ({ size: item.size ?? 0, as: truthFromPlanted(item, truth) }));
    const isRight = (flag: (typeof flags)[number]) =>
      certain.some((item) => isSame(flag, item)) || deliberate.some(({ as }) => isSame(flag, as));
    const isNeither = (flag: (typeof flags)[number]) => !isRight(flag) && own.some((item) => isSame(flag, item));
    const right = flags.filter(isRight).length;
    const neither = flags.filter(isNeither).length;
    const sizes = [...new Set(deliberate.map(({ size }) => size))].sort((a, b) => a - b);
    return {
      rule,
      truths: certain.length,
      found: certain.filter((item) => flags.some((flag) => isSame(flag, item))).length,
      flags: flags.length - neither,
      right,
      falseFlags: flags.length - neither - right,
      expectedFalse: flags.reduce((most, { expectedFalse }) => Math.max(most, expectedFalse), 0),
      sizes: sizes.map((size) => {
        const same = deliberate.filter((item) => item.size === size);
        return { size, planted: same.length, found: same.filter(({ as }) => flags.some((flag) => isSame(flag, as))).length };
      }),
    };
  });
}

function truthFromPlanted({ rule, machine, group, address, badge, from, until }: PlantedRow, truth: Truth): TrueFinding {
  return {
    rule,
    machine: machine === null ? null : truth.machines[machine]!,
    group: group === null ? null : truth.groups[group]!,
    stations: address === null ? [] : [String(address).padStart(3, "0")],
    badge,
    from,
    until,
    isOptional: false,
  };
}

export function findingTables(worlds: readonly RuleScore[][], nulls: { name: string; weeks: number; flags: Flag[] }[]): string {
  const rules = worlds[0]?.map(({ rule }) => rule) ?? [];
  const rows = rules.map((rule) => {
    const own = worlds.flatMap((world) => world.filter((row) => row.rule === rule));
    const sum = (key: "truths" | "found" | "flags" | "right" | "falseFlags" | "expectedFalse") =>
      own.reduce((total, row) => total + row[key], 0);
    const sizes = new Map<number, { planted: number; found: number }>();
    for (const { size, planted, found } of own.flatMap((row) => row.sizes)) {
      const before = sizes.get(size) ?? { planted: 0, found: 0 };
      sizes.set(size, { planted: before.planted + planted, found: before.found + found });
    }
    // Sizes that are drawn, not set, say nothing by size.
    const bySize =
      sizes.size > 4
        ? null
        : [...sizes]
            .sort(([a], [b]) => a - b)
            .map(([size, { planted, found }]) => `${size}: ${found}/${planted}`)
            .join(", ");
    return [
      rule,
      sum("truths"),
      percent(sum("truths") === 0 ? null : sum("found") / sum("truths")),
      sum("flags"),
      percent(sum("flags") === 0 ? null : sum("right") / sum("flags")),
      bySize,
      sum("falseFlags"),
      fixed(sum("expectedFalse"), 1),
    ];
  });
  const table = markdown(["rule", "true", "recall", "flags", "precision", "found by size", "false", "expected false"], rows);
  const quiet = nulls.map(({ name, weeks, flags }) => {
    const count = new Map<string, number>();
    for (const { rule } of flags) count.set(rule, (count.get(rule) ?? 0) + 1);
    const most = [...count].sort(([, a], [, b]) => b - a).map(([rule, times]) => `${rule} ${times}`);
    return [name, weeks, flags.length, fixed(flags.length / weeks, 3), most.join(", ")];
  });
  return `${table}\n\n${markdown(["world where nothing is wrong", "weeks", "flags", "flags a week", "which"], quiet)}`;
}
