// The brief: what to buy a second of, on one printed page. It opens with what the log can't know.
import type { JSX } from "preact";
import type { DemandTold, Machine } from "../../ask/answers.ts";
import { Wide } from "../../frame/wide.tsx";
import { listed } from "../../words/reader.ts";
import { Key } from "../entry.tsx";
import { leaf, type Visit } from "../leaf.ts";
import { bestWords, cannotKnow, costWords, figureWords, groupName, inOrder, isTold, money, needsWords } from "./told.ts";

interface Data {
  told: DemandTold;
  machines: Machine[];
}

export const demandBrief = leaf<Data>({
  id: "demand-brief",
  path: "/demand/brief",
  need: "see-demand",
  readsLog: true,
  hasPeriod: false,
  title: () => "What to buy a second of",
  async load({ ask }) {
    const [{ machines }, told] = await Promise.all([ask("machines"), ask("demand")]);
    return { machines, told: { ...told, groups: told.groups.map((group) => ({ ...group, byHourOfWeek: [], ladders: null })) } };
  },
  View,
});

const most = 5;

function View({ data: { told, machines }, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, calendar } = visit;
  const name = (group: string): string => groupName(group, machines);
  const span = told.fromDay && told.untilDay ? { since: told.fromDay, until: told.untilDay } : null;
  const order = inOrder(told).filter(({ hoursGainedPerMonth }) => isTold(hoursGainedPerMonth));
  const { names, isTie } = bestWords(told, machines);
  const first = order[0];
  const top = order.slice(0, most);
  const needs = first ? needsWords(first, machines) : null;
  const comparison = told.comparisons[0];
  return (
    <>
      <h1>What to buy a second of</h1>
      <p class="lead">{cannotKnow}</p>
      <p>
        {calendar.workshop}, {reader.day(calendar.today)}.{span ? ` From the log of ${reader.days(span)}.` : ""}
      </p>
      {first === undefined ? (
        <p>Too few turns are in the log to weigh a purchase.</p>
      ) : (
        <>
          <p>
            {isTie ? (
              <>
                What gives most for its price can't be told apart from the log: <Key>{listed(names)}</Key>.
              </>
            ) : (
              <>
                One more <Key>{names[0]}</Key> gives most member-hours for its price
                {comparison ? (
                  <>
                    , with a chance of {reader.share(comparison.chance)} against the next, {name(comparison.worse)}
                  </>
                ) : null}
                .
              </>
            )}{" "}
            {comparison?.flipsAtPatience
              ? `Were members to wait ${reader.figure(comparison.flipsAtPatience, 2)} minutes rather than as the log tells, ${name(comparison.worse)} would come first.`
              : ""}
          </p>
          <Wide name="The five best buys">
            <table class="numbers">
              <thead>
                <tr>
                  <th scope="col">One more</th>
                  <th scope="col">Price</th>
                  <th scope="col">Member-hours gained a month</th>
                  <th scope="col">Cost per hour gained</th>
                  <th scope="col">Left without a turn a month: as it is → with one more</th>
                </tr>
              </thead>
              <tbody>
                {top.map((group) => (
                  <tr key={group.group}>
                    <th scope="row">{name(group.group)}</th>
                    <td>{group.price === null ? "–" : money(group.price, told.currency, reader)}</td>
                    <td>{figureWords(group.hoursGainedPerMonth, reader)}</td>
                    <td>{costWords(group, told.currency, reader, "")}</td>
                    <td>
                      {figureWords(group.turnedAwayPerMonth, reader)} → {figureWords(group.withMore.turnedAwayPerMonth, reader)}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Wide>
          {told.ties.length > 0 ? <p>Can't be told apart: {told.ties.map((tie) => listed(tie.map(name))).join("; ")}.</p> : null}
          {needs ? <p>It needs {needs}. Floor space nobody has typed in.</p> : null}
          <p class="note">
            In brackets the 10 and 90 % points: four times in five the true figure lies between them. Cost = price ÷ years of life
            ÷ hours gained a year; upkeep goes with use and is not in it. People are counted while a unit was free; for the time
            in which all were taken as many are taken to have come as at the same hour of the week when one was free.
          </p>
        </>
      )}
    </>
  );
}
