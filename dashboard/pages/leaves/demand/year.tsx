// The year's report for the annual meeting: use, queues, training and reach of twelve months up to the log's end, in words and tables.
import type { JSX } from "preact";
import type { Answers, DemandTold, HoursRow, Machine, Occupied } from "../../ask/answers.ts";
import { Wide } from "../../frame/wide.tsx";
import { firstOfMonth, plusDays } from "../../period/days.ts";
import { Entry, Key } from "../entry.tsx";
import { leaf, type Visit } from "../leaf.ts";
import { MonthsOnly } from "../log-age.tsx";
import { totalHours } from "../questions.ts";
import { bestWords, cannotKnow, costWords, figureWords, groupName, inOrder, isTold } from "./told.ts";

interface Data {
  days: { since: string; until: string };
  hours: HoursRow[];
  groups: Occupied[];
  told: DemandTold;
  training: Answers["training"]["machines"];
  reach: Answers["reach"]["machines"];
  machines: Machine[];
}

/** Twelve whole months: those that ended last before the log did. */
function yearOf(lastDay: string): { since: string; until: string } {
  const isMonthsEnd = firstOfMonth(plusDays(lastDay, 1)) === plusDays(lastDay, 1);
  const until = isMonthsEnd ? lastDay : plusDays(firstOfMonth(lastDay), -1);
  return { since: firstOfMonth(until, -11), until };
}

export const demandYear = leaf<Data>({
  id: "demand-year",
  path: "/demand/year",
  need: "see-demand",
  readsLog: true,
  hasPeriod: false,
  title: () => "The year's report",
  async load({ ask }, { calendar }) {
    const days = yearOf(calendar.lastDay!);
    const [{ machines }, { rows }, { groups }, told, training, reach] = await Promise.all([
      ask("machines"),
      ask("hours", days),
      ask("occupancy", days),
      ask("demand", days),
      ask("training", days),
      ask("reach", days),
    ]);
    return {
      days,
      hours: rows,
      groups,
      told: { ...told, groups: told.groups.map((group) => ({ ...group, byHourOfWeek: [], ladders: null })) },
      training: training.machines.map(({ machine, name, refusals, refusedMembers, trained, neverSeen, runningOut, trend }) => ({
        machine,
        name,
        refusals,
        ...(refusedMembers === undefined ? {} : { refusedMembers }),
        ...(trained === undefined ? {} : { trained }),
        ...(neverSeen === undefined ? {} : { neverSeen }),
        ...(runningOut === undefined ? {} : { runningOut }),
        ...(trend === undefined ? {} : { trend }),
      })),
      reach: reach.machines,
      machines,
    };
  },
  View,
});

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, calendar } = visit;
  const { days, hours, groups, told, training, reach, machines } = data;
  const total = totalHours(hours, machines);
  const { names, isTie } = bestWords(told, machines);
  const fullest = [...groups].sort((a, b) => (b.fullShare ?? 0) - (a.fullShare ?? 0))[0];
  const stations = machines.filter(({ kind, claimed }) => kind === "stations" && claimed);
  const count = (figure: number | null | undefined): string =>
    figure === null || figure === undefined ? "–" : reader.count(figure);
  return (
    <>
      <h1>The year's report</h1>
      <p class="lead">
        {calendar.workshop}, {reader.days(days)}: <Key>{reader.hours(total)}</Key> hours at the machines
        {fullest?.fullShare ? (
          <>
            ; <Key>{groupName(fullest.group ?? "", machines)}</Key> was taken for {reader.share(fullest.fullShare)} of the open
            time, longer than any other
          </>
        ) : null}
        .
      </p>
      <p class="note">{cannotKnow}</p>
      <MonthsOnly visit={visit} />
      <Entry name="Use and reach" id="use">
        <Wide name="Hours, members and the busiest tenth by machine">
          <table class="numbers">
            <thead>
              <tr>
                <th scope="col">Machine</th>
                <th scope="col">Hours</th>
                <th scope="col">Members</th>
                <th scope="col">Hours of the busiest tenth</th>
              </tr>
            </thead>
            <tbody>
              {stations.map(({ machine, name }) => {
                const use = hours.find((row) => row.machine === machine);
                const reached = reach.find((row) => row.machine === machine);
                return (
                  <tr key={machine}>
                    <th scope="row">{name}</th>
                    <td>{use === undefined || use.enabledHours.best === null ? "–" : reader.range(use.enabledHours)}</td>
                    <td>{count(reached?.members)}</td>
                    <td>{reached?.busiestShare == null ? "–" : reader.share(reached.busiestShare)}</td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </Wide>
      </Entry>
      <Entry name="Queues" id="queues">
        <p>
          {names.length === 0
            ? "Too few turns are in the year's log to weigh a purchase."
            : isTie
              ? `What to buy a second of can't be told apart from this year alone: ${names.join(", ")}.`
              : `By this year alone one more ${names[0]} would give most for its price.`}
        </p>
        <Wide name="Wishes and queues by group">
          <table class="numbers">
            <thead>
              <tr>
                <th scope="col">Group</th>
                <th scope="col">Turns wished for an open hour</th>
                <th scope="col">Left without one a month</th>
                <th scope="col">Hours gained a month by one more</th>
                <th scope="col">Cost per hour gained</th>
              </tr>
            </thead>
            <tbody>
              {inOrder(told).map((group) => (
                <tr key={group.group}>
                  <th scope="row">{groupName(group.group, machines)}</th>
                  <td>{isTold(group.arrivalsPerOpenHour) ? reader.range(group.arrivalsPerOpenHour) : "not enough yet"}</td>
                  <td>{figureWords(group.turnedAwayPerMonth, reader)}</td>
                  <td>{figureWords(group.hoursGainedPerMonth, reader)}</td>
                  <td>{costWords(group, told.currency, reader, "")}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      </Entry>
      <Entry name="Training" id="training">
        <p>
          A refused badge may be a wrong machine, a permission that ran out, or somebody who would like to learn it: the log can't
          tell which. Trained, never seen and running out are as of today.
        </p>
        <Wide name="Refusals and permissions by machine">
          <table class="numbers">
            <thead>
              <tr>
                <th scope="col">Machine</th>
                <th scope="col">Refusals</th>
                <th scope="col">People refused</th>
                <th scope="col">Later half against earlier</th>
                <th scope="col">Trained</th>
                <th scope="col">Of them never seen there</th>
                <th scope="col">Running out within 60 days</th>
              </tr>
            </thead>
            <tbody>
              {training.map((row) => (
                <tr key={row.machine}>
                  <th scope="row">{row.name}</th>
                  <td>{count(row.refusals)}</td>
                  <td>{count(row.refusedMembers)}</td>
                  <td>
                    {row.trend
                      ? `× ${reader.figure(row.trend.best, 2)} (${reader.figure(row.trend.low, 2)}–${reader.figure(row.trend.high, 2)})`
                      : "–"}
                  </td>
                  <td>{count(row.trained)}</td>
                  <td>{count(row.neverSeen)}</td>
                  <td>{count(row.runningOut)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      </Entry>
    </>
  );
}
