// Findings for people at a terminal: each with its evidence, then how the rules have done.
import type { Finding, Reviewed } from "../../analytics/index.ts";
import { isoFromDate } from "../../shared/relation.ts";
import type { FindingsAnswer } from "./findings-of.ts";

export function wordsOfFindings({ head: { records }, findings }: FindingsAnswer): string {
  const advice = records.flatMap(({ advice }) => advice ?? []);
  const parts = [...findings.map(wordsOf), ...(findings.length === 0 ? ["nothing to show"] : []), ...advice];
  return `${parts.join("\n\n")}\n`;
}

function wordsOf(finding: Finding & Reviewed): string {
  const { id, severity, rule, from, evidence, state, review, hasChanged } = finding;
  const said =
    review === null
      ? ""
      : `, ${review.state} by ${review.by}: ${review.note}${hasChanged ? " (its evidence has changed since)" : ""}`;
  return [
    `${isoFromDate(from)}  ${severity}  ${rule}  ${id}  ${state}${said}`,
    `  ${evidence.text}`,
    `  ${evidence.unknown}`,
  ].join("\n");
}
