// A group used far more or far less in a week than the weeks before it said.
import { ask, question } from "../../../shared/question.ts";
import { historyFrom } from "../history.ts";
import { rule } from "../rule.ts";
import { silences } from "../silent-station/silences.ts";
import { type GroupWeek, offTrend } from "./judge.ts";

const weeksQuestion = question(import.meta.url, "./weeks.sql");

type Row = GroupWeek & { from: Date; until: Date };

export const offTrendUse = rule({
  name: "off-trend-use",
  version: 1,
  severity: "low",
  summary: "a group was used far more or far less in a week than the weeks before it said",
  defaults: { false_discovery: 0.05 },
  why: "Expected is what the twelve weeks before gave per open hour, times how the rest of the shop did that week, so that seasons, holidays, closures and outages don't raise it. One flag in twenty may be chance; one week of a group in 200 is taken to be off its trend as a rule, so with few flags the line is at 1 in 4000.",
  weighty: ["turns"],
  async find(asked) {
    const { connection, zone, asOf, since, until, knobs } = asked;
    const history = historyFrom(asked);
    const { silences: silent } = await silences({ ...asked, since: history, until: undefined });
    const rows = await ask<Row>(connection, weeksQuestion, {
      zone,
      history: history ?? null,
      as_of: asOf,
      silent: JSON.stringify(
        silent.map(({ machine, lastHeard, nextHeard }) => ({
          machine,
          from: lastHeard.toISOString(),
          until: (nextHeard ?? asOf).toISOString(),
        })),
      ),
    });
    const { weeks, threshold } = offTrend(rows, { rate: knobs.false_discovery });
    const isIn = (week: { from: Date; until: Date }) =>
      (until === undefined || week.from < until) && (since === undefined || week.until > since);
    const expectedFalse = threshold * rows.filter(isIn).length;
    return weeks.filter(isIn).map((week) => ({
      key: `${week.group} ${week.from.toISOString()}`,
      machine: null,
      group: week.group,
      room: null,
      station: null,
      badge: null,
      from: week.from,
      until: week.until,
      score: -Math.log10(Math.max(week.tail, 1e-300)),
      expectedFalse,
      evidence: {
        text: `Group ${week.group} had ${week.turns} turns in that week; the weeks before it and the rest of the shop said ${week.expected.toFixed(0)}, four times in five between ${week.low.toFixed(0)} and ${week.high.toFixed(0)}.`,
        unknown:
          "The log can't know why: a course, a project, a machine that members avoid because it is dull, or use that went by without a badge.",
        figures: {
          turns: week.turns,
          expected: week.expected,
          low: week.low,
          high: week.high,
          restOfShop: week.tide,
          inOrderShare: week.inOrder,
          tail: week.tail,
        },
      },
    }));
  },
});
