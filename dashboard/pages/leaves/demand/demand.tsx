// Demand: what a further unit of each group would give, what would change if …, and how full the groups were.
import type { JSX } from "preact";
import type { DemandTold, GroupDemand, Machine, Occupied } from "../../ask/answers.ts";
import { NotAnswered } from "../../ask/ask.ts";
import { Figure } from "../../charts/figure.tsx";
import { Wide } from "../../frame/wide.tsx";
import { counted, listed } from "../../words/reader.ts";
import { Entry, Key } from "../entry.tsx";
import { HeatLegend } from "../heat-legend.tsx";
import { leaf, type Visit } from "../leaf.ts";
import { MonthsOnly } from "../log-age.tsx";
import { bucketFor, spanOf } from "../questions.ts";
import { workings } from "../workings.ts";
import {
  bestWords,
  cannotKnow,
  costWords,
  figureWords,
  groupName,
  inOrder,
  isTold,
  needsWords,
  wantedRows,
  worthRows,
} from "./told.ts";
import { WhatIf, whatIfOf } from "./what-if.tsx";

interface Data {
  told: DemandTold;
  answer: DemandTold | null;
  complaint: string | null;
  groups: (Occupied & { group: string })[];
  shop: { peakPeople: number | null; peakAt: string | null };
  machines: Machine[];
}

export const demand = leaf<Data>({
  id: "demand",
  path: "/demand",
  entry: "Demand",
  need: "see-demand",
  readsLog: true,
  hasPeriod: true,
  title: () => "Demand",
  async load({ ask }, visit) {
    const asked = whatIfOf(visit.query, visit.may);
    const [{ machines }, { groups, shop }, told, tried] = await Promise.all([
      ask("machines"),
      ask("occupancy", livedSpan(visit)),
      ask("demand"),
      asked === null ? null : unlessComplaint(ask("demand", asked)),
    ]);
    const shown = new Set(groupsShown(groups, visit.query).map(({ group }) => group));
    return {
      machines,
      groups: groups.map((each) => ({ ...each, group: each.group ?? "" })),
      shop,
      // Hours of the week are many; only those that are drawn travel.
      told: withoutHours(told, shown),
      answer: tried === null || typeof tried === "string" ? null : withoutHours(tried, new Set()),
      complaint: typeof tried === "string" ? tried : null,
    };
  },
  View,
});

const withoutHours = (told: DemandTold, kept: ReadonlySet<string | undefined>): DemandTold => ({
  ...told,
  groups: told.groups.map((group) => (kept.has(group.group) ? group : { ...group, byHourOfWeek: [] })),
});

/** What the figures are wrong in, in words, where that is why there is no answer. */
async function unlessComplaint<T>(answer: Promise<T>): Promise<T | string> {
  try {
    return await answer;
  } catch (error) {
    if (error instanceof NotAnswered && (error.status === 400 || error.status === 422)) return error.message;
    throw error;
  }
}

/** The days of the period as far as the log goes: later hours are not open and empty, nobody knows yet what they were. */
function livedSpan({ period, calendar, may }: Visit): { since: string; until: string } {
  const { since, until } = period.lived ?? period.days;
  const endsWithLog = bucketFor(may) === "week" && calendar.lastEvent !== null && until === calendar.lastDay;
  return { since, until: endsWithLog ? calendar.lastEvent! : until };
}

const fewShown = 4;

const byFullness = (a: Occupied, b: Occupied): number => (b.fullShare ?? 0) - (a.fullShare ?? 0);

/** The group that was chosen, or the fullest. */
function groupsShown<Group extends Occupied>(groups: readonly Group[], query: Visit["query"]): Group[] {
  const sorted = [...groups].sort(byFullness);
  if (query.group) return sorted.filter(({ group }) => group === query.group);
  return sorted.filter(({ fullShare, peak }) => (fullShare ?? 0) > 0 || (peak ?? 0) > 1).slice(0, fewShown);
}

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, period, query, calendar } = visit;
  const groups = [...data.groups].sort(byFullness);
  const busy = groups.filter(({ fullShare, peak }) => (fullShare ?? 0) > 0 || (peak ?? 0) > 1);
  const shown = groupsShown(groups, query);
  const lived = period.lived ?? period.days;
  const fullest = groups[0];
  const isCut = period.lived !== null && period.days.until > period.lived.until;
  return (
    <>
      <h1>Demand</h1>
      <MonthsOnly visit={visit} />
      <Lead told={data.told} machines={data.machines} visit={visit} />
      <p class="note">{cannotKnow}</p>
      <Ranking told={data.told} machines={data.machines} visit={visit} />
      <WhatIf told={data.told} answer={data.answer} complaint={data.complaint} machines={data.machines} visit={visit} />
      <h2 id="fullness">How full the groups were</h2>
      <p>
        {fullest?.fullShare ? (
          <>
            From {reader.days(lived)} <Key>{groupName(fullest.group, data.machines)}</Key> was{" "}
            {fullest.units === 1 ? "taken" : `taken with all ${reader.count(fullest.units ?? 0)} units`} for{" "}
            <Key>{reader.share(fullest.fullShare)}</Key> of the open time, longer than any other.{" "}
          </>
        ) : groups.length > 0 && groups.every(({ fullShare }) => fullShare === null) ? (
          <>How full the groups were is held back: too few members stand behind it. </>
        ) : (
          <>From {reader.days(lived)} no group was ever wholly taken. </>
        )}
        {data.shop.peakPeople ? (
          <>The shop was fullest with {counted(reader, data.shop.peakPeople, "person", "people")} badged in at once. </>
        ) : null}
        {isCut ? (
          <>
            The log ends on {reader.day(calendar.lastDay!)}; later open hours are not counted, since nobody knows yet how full
            they were.
          </>
        ) : null}
      </p>
      <GroupTable groups={groups} machines={data.machines} visit={visit} />
      {shown.map((each) => (
        <GroupEntry
          key={each.group}
          occupied={each}
          wanted={data.told.groups.find(({ group }) => group === each.group) ?? null}
          told={data.told}
          machines={data.machines}
          visit={visit}
        />
      ))}
      {query.group || busy.length <= shown.length ? null : <p>Other groups: choose one in the table above.</p>}
    </>
  );
}

function Lead({ told, machines, visit }: { told: DemandTold; machines: readonly Machine[]; visit: Visit }): JSX.Element {
  const { reader } = visit;
  const { names, isTie } = bestWords(told, machines);
  const first = told.groups.find(({ group }) => group === told.ranking[0]);
  if (first === undefined || !isTold(first.hoursGainedPerMonth))
    return <p class="lead">Too few turns are in the log to say what a further machine would give.</p>;
  return (
    <p class="lead">
      {isTie ? (
        <>
          What gives most for its price can't be told apart: one more of <Key>{listed(names)}</Key>.{" "}
        </>
      ) : (
        <>
          One more <Key>{names[0]}</Key> gives most for its price.{" "}
        </>
      )}
      {names[0]}: <Key>{reader.range(first.hoursGainedPerMonth)}</Key> member-hours more a month,{" "}
      {costWords(first, told.currency, reader)}.
    </p>
  );
}

function Ranking({
  told,
  machines,
  visit,
}: {
  told: DemandTold;
  machines: readonly Machine[];
  visit: Visit;
}): JSX.Element | null {
  const { reader } = visit;
  const rows = worthRows(told, machines, reader);
  if (rows.length === 0) return null;
  const span = told.fromDay && told.untilDay ? { since: told.fromDay, until: told.untilDay } : null;
  const close = told.comparisons.slice(0, 3);
  const name = (group: string): string => groupName(group, machines);
  return (
    <Entry name="What to buy a second of" id="ranking">
      <p>
        Weighed on {span ? <>all of the log, {reader.days(span)}</> : "all of the log"}, whatever days are chosen above; the best
        buy stands on top. <a href="/demand/brief">The brief on one page</a> · <a href="/demand/year">The year's report</a>
      </p>
      <Figure
        chart="worth"
        title="What one more would give"
        unit="member-hours gained a month"
        settings={{ unit: "member-hours gained a month" }}
        rows={rows}
        reader={reader}
        workings={told.workings}
      />
      <Wide name="What one more of each would give and cost">
        <table class="numbers">
          <thead>
            <tr>
              <th scope="col">One more</th>
              <th scope="col">Hours gained a month</th>
              <th scope="col">Cost per hour gained</th>
              <th scope="col">Without a turn a month</th>
              <th scope="col" class="spare">
                With one more
              </th>
            </tr>
          </thead>
          <tbody>
            {inOrder(told).map((group) => (
              <tr key={group.group}>
                <th scope="row">{name(group.group)}</th>
                <td>{figureWords(group.hoursGainedPerMonth, reader)}</td>
                <td>{costWords(group, told.currency, reader, "")}</td>
                <td>{figureWords(group.turnedAwayPerMonth, reader)}</td>
                <td class="spare">{figureWords(group.withMore.turnedAwayPerMonth, reader)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {told.ties.length > 0 ? <p>Can't be told apart: {told.ties.map((tie) => listed(tie.map(name))).join("; ")}.</p> : null}
      {close.length > 0 ? (
        <ul class="plain">
          {close.map(({ better, worse, chance, flipsAtPatience }) => (
            <li key={`${better} ${worse}`}>
              {name(better)} before {name(worse)}: the better buy with a chance of {reader.share(chance)}
              {flipsAtPatience === null
                ? "; no patience from 0 to 60 minutes turns that round"
                : `; were members to wait ${reader.figure(flipsAtPatience, 2)} minutes, it would turn round`}
              .
            </li>
          ))}
        </ul>
      ) : null}
      <p class="note">
        In brackets the 10 and 90 % points. Cost = price ÷ years of life ÷ hours gained a year; upkeep goes with use and is not in
        it.
      </p>
    </Entry>
  );
}

function GroupTable({ groups, machines, visit }: Pick<Data, "groups" | "machines"> & { visit: Visit }): JSX.Element {
  const { reader } = visit;
  return (
    <Wide name="Groups and how full they were">
      <table class="numbers">
        <thead>
          <tr>
            <th scope="col">Group</th>
            <th scope="col">All taken</th>
            <th scope="col">Units</th>
            <th scope="col">Most at once</th>
            <th scope="col" class="spare">
              Open hours
            </th>
          </tr>
        </thead>
        <tbody>
          {groups.map(({ group, units, peak, openHours, fullShare }) => (
            <tr key={group}>
              <th scope="row">
                <a href={`/demand?${new URLSearchParams({ ...definedOf(visit.query), group })}`}>{groupName(group, machines)}</a>
              </th>
              <td>{fullShare === null ? "–" : reader.share(fullShare)}</td>
              <td>{units === null ? "–" : reader.count(units)}</td>
              <td>{peak === null ? "–" : reader.count(peak)}</td>
              <td class="spare">{openHours === null ? "–" : reader.hours(openHours)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

const definedOf = (query: Visit["query"]): Record<string, string> =>
  Object.fromEntries(Object.entries(query).filter((entry): entry is [string, string] => entry[1] !== undefined));

function GroupEntry({
  occupied,
  wanted,
  told,
  machines,
  visit,
}: {
  occupied: Data["groups"][number];
  wanted: GroupDemand | null;
  told: DemandTold;
  machines: readonly Machine[];
  visit: Visit;
}): JSX.Element {
  const { reader, period } = visit;
  const { group, hoursByInUse, fullShare, peak } = occupied;
  const units = occupied.units ?? 0;
  const openHours = occupied.openHours ?? 0;
  const members = machines.filter((machine) => machine.group === group).map(({ machine }) => machine);
  const idle = hoursByInUse.find(({ inUse }) => inUse === 0)?.hours ?? null;
  return (
    <Entry
      name={groupName(group, machines)}
      id={`group-${group.replaceAll(/[^\w-]/g, "-")}`}
      chief={{
        figure: fullShare === null ? "–" : reader.share(fullShare),
        unit: units === 1 ? "of the open time taken" : "of the open time all taken",
      }}
    >
      <p>
        {units === 1 ? "In use" : `All ${reader.count(units)} units in use`} for{" "}
        <Key>{fullShare === null ? "not known" : reader.share(fullShare)}</Key> of{" "}
        {openHours > 0 ? reader.hours(openHours) : "the"} open hours
        {units > 1 && openHours > 0 && idle !== null ? `; for ${reader.share(idle / openHours)} none was` : ""}.
        {units > 1 ? ` The most at once, at any hour: ${peak === null ? "held back, under five" : reader.count(peak)}.` : ""}
      </p>
      {hoursByInUse.length === 0 || bucketFor(visit.may) === "month" ? null : (
        <div class="side-by-side">
          <Figure
            chart="ladder"
            title="The ladder"
            unit="hours with so many units in use"
            settings={{ units }}
            rows={hoursByInUse}
            reader={reader}
            workings={workings.ladder}
          />
          <Figure
            chart="weekMap"
            title="The week as a map"
            unit={`minutes in use within an average hour${units > 1 ? ", all units together" : ""}`}
            settings={{ machines: members, lived: period.lived ?? period.days, places: units }}
            source={{ command: "hours", params: { by: "hour-of-week", ...spanOf(period.lived ?? period.days) } }}
            reader={reader}
            workings={workings.hourOfWeek}
          >
            <HeatLegend />
          </Figure>
        </div>
      )}
      {wanted ? <Wished wanted={wanted} told={told} machines={machines} visit={visit} /> : null}
    </Entry>
  );
}

/** What is wished for behind the group, over all of the log. */
function Wished({
  wanted,
  told,
  machines,
  visit,
}: {
  wanted: GroupDemand;
  told: DemandTold;
  machines: readonly Machine[];
  visit: Visit;
}): JSX.Element | null {
  const { reader } = visit;
  if (!isTold(wanted.arrivalsPerOpenHour)) return <p>Too few turns are in the log to say what is wished for here.</p>;
  const rows = wantedRows(wanted);
  const { ladders, queueEvidence } = wanted;
  const needs = needsWords(wanted, machines);
  return (
    <>
      <p>
        Over all of the log <Key>{reader.range(wanted.arrivalsPerOpenHour)}</Key> turns an open hour were wished for; a month{" "}
        <Key>{figureWords(wanted.turnedAwayPerMonth, reader)}</Key> people left without one, with one more unit{" "}
        {figureWords(wanted.withMore.turnedAwayPerMonth, reader)}: {figureWords(wanted.hoursGainedPerMonth, reader)} member-hours
        gained, {costWords(wanted, told.currency, reader)}.
        {wanted.upkeepPerHour === null
          ? ""
          : ` Upkeep by the record: ${reader.figure(wanted.upkeepPerHour, 2)}${told.currency ? ` ${told.currency}` : ""} per hour of use.`}
      </p>
      {queueEvidence ? (
        <p>
          Without any model: {reader.count(queueEvidence.handOvers)} turns were begun by another person at the end of a spell in
          which all was taken, or within a quarter of an hour; chance would have brought{" "}
          {reader.figure(queueEvidence.handOversByChance, 2)}, so that {reader.range(queueEvidence.excess)} had waited.
          {queueEvidence.lengthWhenHandedOver
            ? ` Such turns were ${reader.figure(queueEvidence.lengthWhenHandedOver.best, 2)} times (${reader.figure(queueEvidence.lengthWhenHandedOver.low, 2)}–${reader.figure(queueEvidence.lengthWhenHandedOver.high, 2)}) as long as others.`
            : ""}
          {queueEvidence.elsewhere.length > 0
            ? ` While it was taken, more than chance has it began at ${listed(queueEvidence.elsewhere.map(({ group }) => groupName(group, machines)))}.`
            : ""}
        </p>
      ) : null}
      {needs ? <p class="note">A further unit needs {needs}.</p> : null}
      {rows.length > 0 ? (
        <div class="side-by-side">
          <Figure
            chart="wantedMap"
            title="Wished for, against what it can take"
            unit={`share of the open hour that all wishes would fill${wanted.units > 1 ? ", of all units" : ""}`}
            settings={{ units: wanted.units }}
            rows={rows}
            reader={reader}
            workings={told.workings}
          >
            <p>
              nothing{" "}
              {[0, 1, 2, 3, 4, 5].map((step) => (
                <span class={`swatch heat heat-${step}`} key={step} />
              ))}{" "}
              more than it can take
            </p>
          </Figure>
          {ladders ? (
            <Figure
              chart="ladder"
              title={`The ladder with ${wanted.withMore.add === 1 ? "one more" : `${reader.count(wanted.withMore.add)} more`}`}
              unit="open hours of the log with so many units taken, simulated"
              settings={{ units: wanted.units + wanted.withMore.add }}
              rows={ladders.withMore}
              reader={reader}
              workings={told.workings}
            >
              <p>
                All taken for {reader.share(fullShareOf(ladders.asIs))} of the open time as it is simulated, and for{" "}
                {reader.share(fullShareOf(ladders.withMore))} then.
              </p>
            </Figure>
          ) : null}
        </div>
      ) : null}
    </>
  );
}

function fullShareOf(rungs: readonly { hours: number }[]): number {
  const all = rungs.reduce((sum, { hours }) => sum + hours, 0);
  return all > 0 ? (rungs.at(-1)?.hours ?? 0) / all : 0;
}
