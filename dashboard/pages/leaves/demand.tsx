// Demand, as far as occupancy tells: how many units of a group were in use at once, and when in the week.
import type { JSX } from "preact";
import type { Machine, Occupied } from "../ask/answers.ts";
import { Figure } from "../charts/figure.tsx";
import { Wide } from "../frame/wide.tsx";
import { counted } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { HeatLegend } from "./heat-legend.tsx";
import { leaf, type Visit } from "./leaf.ts";
import { MonthsOnly } from "./log-age.tsx";
import { bucketFor, livedSpan } from "./questions.ts";
import { workings } from "./workings.ts";

interface Data {
  groups: (Occupied & { group: string })[];
  rooms: Occupied[];
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
  async load({ ask }, { period }) {
    const [{ machines }, { groups, rooms, shop }] = await Promise.all([ask("machines"), ask("occupancy", livedSpan(period))]);
    return { machines, groups: groups.map((each) => ({ ...each, group: each.group ?? "" })), rooms, shop };
  },
  View,
});

const groupsShown = 4;

/** A group is called as the workshop file calls it; a machine that is its own group by its name. */
function groupName(group: string, machines: readonly Machine[]): string {
  const members = machines.filter((machine) => machine.group === group);
  return members.length === 1 ? members[0]!.name : group;
}

const byFullness = (a: Occupied, b: Occupied): number => (b.fullShare ?? 0) - (a.fullShare ?? 0);

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, period, query } = visit;
  const groups = [...data.groups].sort(byFullness);
  const busy = groups.filter(({ fullShare, peak }) => (fullShare ?? 0) > 0 || (peak ?? 0) > 1);
  const shown = query.group ? groups.filter(({ group }) => group === query.group) : busy.slice(0, groupsShown);
  const lived = period.lived ?? period.days;
  const fullest = groups[0];
  return (
    <>
      <h1>Demand</h1>
      <MonthsOnly visit={visit} />
      <p class="lead">
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
          <>The shop was fullest with {counted(reader, data.shop.peakPeople, "person", "people")} badged in at once.</>
        ) : null}
      </p>
      <p class="note">
        This is what the log saw. Whoever found a machine taken and left is not in it, nor whoever stopped coming: a full group
        hides wishes that nobody counted.
      </p>
      <GroupTable groups={groups} machines={data.machines} visit={visit} />
      {shown.map((each) => (
        <GroupEntry key={each.group} occupied={each} machines={data.machines} visit={visit} />
      ))}
      {query.group || busy.length <= shown.length ? null : <p>Other groups: choose one in the table above.</p>}
    </>
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
  machines,
  visit,
}: {
  occupied: Data["groups"][number];
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
            source={{ command: "hours", params: { by: "hour-of-week", ...livedSpan(period) } }}
            reader={reader}
            workings={workings.hourOfWeek}
          >
            <HeatLegend />
          </Figure>
        </div>
      )}
    </Entry>
  );
}
