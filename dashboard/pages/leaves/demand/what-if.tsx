// What if: other circumstances, asked by a form whose answer stands in the page's address.
import type { JSX } from "preact";
import type { DemandTold, GroupDemand, Machine, Told } from "../../ask/answers.ts";
import type { Params } from "../../ask/ask.ts";
import { Wide } from "../../frame/wide.tsx";
import type { Query } from "../../period/period.ts";
import { Entry } from "../entry.tsx";
import type { Visit } from "../leaf.ts";
import { bucketFor } from "../questions.ts";
import { figureWords, groupName } from "./told.ts";

const own = ["if", "add", "patience", "members", "trained", "open", "out", "repair"] as const;

/** What the form asks, as options of the command; null where nothing is asked. The board may ask only some of it. */
export function whatIfOf(query: Query, may: Visit["may"]): Params | null {
  const isBoard = bucketFor(may) === "month";
  const group = query.if;
  if (!group) return null;
  const given = (name: string): string | undefined => (query[name] ? query[name] : undefined);
  const shared = { group, add: given("add"), patience: given("patience") };
  if (isBoard) return shared;
  return {
    ...shared,
    members: given("members"),
    trained: given("trained"),
    open: given("open"),
    out: given("out"),
    repair: given("repair"),
    quick: "true",
  };
}

const others = (query: Query): [string, string][] =>
  Object.entries(query).filter(
    (entry): entry is [string, string] => !(own as readonly string[]).includes(entry[0]) && entry[1] !== undefined,
  );

interface Choice {
  value: string;
  says: string;
}
const choice = (value: string, says: string): Choice => ({ value, says });

const patiences = [
  choice("", "as the log tells"),
  ...["0", "5", "15", "30", "60"].map((minutes) => choice(minutes, minutes === "0" ? "not at all" : `up to ${minutes} minutes`)),
];
const adds = [choice("", "1"), choice("2", "2"), choice("3", "3")];
const members = [choice("", "as many"), choice("10", "10 % more"), choice("20", "20 % more"), choice("50", "50 % more")];
const trained = [choice("", "as many"), choice("5", "5 more"), choice("10", "10 more"), choice("20", "20 more")];
const repairs = [choice("", "as fast as now"), choice("2", "twice as fast")];

function Select({
  name,
  label,
  options,
  value,
}: {
  name: string;
  label: string;
  options: readonly Choice[];
  value: string;
}): JSX.Element {
  return (
    <p class="field">
      <label for={`if-${name}`}>{label}</label>
      <select id={`if-${name}`} name={name} key={value}>
        {options.map((option) => (
          <option key={option.value} value={option.value} selected={option.value === value}>
            {option.says}
          </option>
        ))}
      </select>
    </p>
  );
}

export function WhatIf({
  told,
  answer,
  complaint,
  machines,
  visit,
}: {
  told: DemandTold;
  answer: DemandTold | null;
  complaint: string | null;
  machines: readonly Machine[];
  visit: Visit;
}): JSX.Element {
  const { query, may } = visit;
  const isBoard = bucketFor(may) === "month";
  const group = query.if ?? told.ranking[0] ?? told.groups[0]?.group ?? "";
  const value = (name: string): string => query[name] ?? "";
  const stations = machines.filter(({ kind, claimed }) => kind === "stations" && claimed);
  const asked = answer?.groups[0];
  return (
    <Entry name="What if" id="what-if">
      <p>
        The same people with the same luck meet the group as it is and as it might be. Nothing here is kept; what you ask stands
        in the address of the page.
      </p>
      <form class="typed figures what-if" action="/demand#what-if" method="get">
        {others(query).map(([name, held]) => (
          <input type="hidden" key={name} name={name} value={held} />
        ))}
        <Select
          name="if"
          label="Group"
          options={told.groups.map((each) => choice(each.group, groupName(each.group, machines)))}
          value={group}
        />
        <Select name="add" label="Further units" options={adds} value={value("add")} />
        <Select name="patience" label="Members wait" options={patiences} value={value("patience")} />
        {isBoard ? null : (
          <>
            <Select name="members" label="Members" options={members} value={value("members")} />
            <Select name="trained" label="Trained on it" options={trained} value={value("trained")} />
            <Select
              name="out"
              label="Out for a month"
              options={[choice("", "none"), ...stations.map(({ machine, name }) => choice(machine, name))]}
              value={value("out")}
            />
            <Select name="repair" label="Repaired" options={repairs} value={value("repair")} />
            <p class="field">
              <label for="if-open">One more opening, like thu 18:00-22:00</label>
              <input id="if-open" name="open" key={value("open")} defaultValue={value("open")} placeholder="thu 18:00-22:00" />
            </p>
          </>
        )}
        {complaint ? (
          <p class="problem" role="alert">
            {complaint}
          </p>
        ) : null}
        <p class="buttons">
          <button type="submit">Try it</button>
        </p>
      </form>
      {answer && asked ? <Outcome answer={answer} group={asked} machines={machines} visit={visit} /> : null}
    </Entry>
  );
}

function Outcome({
  answer,
  group,
  machines,
  visit,
}: {
  answer: DemandTold;
  group: GroupDemand;
  machines: readonly Machine[];
  visit: Visit;
}): JSX.Element {
  const { reader } = visit;
  const words = (figure: Told | null | undefined): string => figureWords(figure, reader);
  const { withMore, withChange } = group;
  const name = groupName(group.group, machines);
  const more = withMore.add === 1 ? "one more" : `${reader.count(withMore.add)} more`;
  return (
    <>
      <Wide name="What would change">
        <table class="numbers">
          <caption>
            {name}, a month; members wait{" "}
            {answer.patienceFrom === "asked" ? `up to ${reader.count(answer.patienceMinutes)} minutes` : "as the log tells"}
          </caption>
          <thead>
            <tr>
              <th scope="col">A month</th>
              <th scope="col">As it is</th>
              <th scope="col">With {more}</th>
              {withChange ? <th scope="col">As asked, none more</th> : null}
            </tr>
          </thead>
          <tbody>
            <tr>
              <th scope="row">Left without a turn</th>
              <td>{words(group.turnedAwayPerMonth)}</td>
              <td>{words(withMore.turnedAwayPerMonth)}</td>
              {withChange ? <td>{words(withChange.turnedAwayPerMonth)}</td> : null}
            </tr>
            <tr>
              <th scope="row">Hours waited</th>
              <td>{words(group.waitHoursPerMonth)}</td>
              <td>{words(withMore.waitHoursPerMonth)}</td>
              {withChange ? <td>{words(withChange.waitHoursPerMonth)}</td> : null}
            </tr>
            <tr>
              <th scope="row">Member-hours gained</th>
              <td>–</td>
              <td>{words(group.hoursGainedPerMonth)}</td>
              {withChange ? <td>{words(withChange.hoursGainedPerMonth)}</td> : null}
            </tr>
          </tbody>
        </table>
      </Wide>
      <p class="note">
        In brackets the 10 and 90 % points of a month's average over the log. More opening hours are taken to bring as many people
        as their neighbours; if they only move visits, less is gained. Newly trained members are taken to wish for as many turns
        as those who are.
      </p>
    </>
  );
}
