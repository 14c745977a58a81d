// Today: what one should know now, in sentences with one chart each, and how old the log is.
import type { JSX } from "preact";
import type { Backup, Covered, HoursRow, Machine, Workings } from "../ask/answers.ts";
import { unlessRefused } from "../ask/ask.ts";
import { Figure } from "../charts/figure.tsx";
import { plusDays } from "../period/days.ts";
import type { Days } from "../period/period.ts";
import { changeWords } from "../words/change.ts";
import { counted, listed, type Reader } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { type FiveCounts, fiveCounts, sumOfReadings } from "./five-counts.ts";
import { leaf, type Visit } from "./leaf.ts";
import { LogAge, MonthsOnly } from "./log-age.tsx";
import { badged, bucketFor, bucketsAround, livedSpan, nameOf, spanOf, totalHours } from "./questions.ts";
import { steps, withStep, workings } from "./workings.ts";

interface Data {
  machines: Machine[];
  rows: HoursRow[];
  workings: Workings;
  before: HoursRow[] | null;
  log: { backup: Backup | null; counts: FiveCounts; readings: number; coverage: Covered[]; shown: Days } | null;
}

const busiest = 10;
const freshDays = 28;

export const today = leaf<Data>({
  id: "today",
  path: "/",
  entry: "Today",
  need: "see-use",
  readsLog: true,
  hasPeriod: true,
  compares: true,
  title: () => "Today",
  async load({ ask }, { period, calendar }) {
    const shown = { since: plusDays(calendar.lastDay!, 1 - freshDays), until: calendar.lastDay! };
    const [{ machines }, now, before, log] = await Promise.all([
      ask("machines"),
      ask("hours", livedSpan(period)),
      period.before && period.wantsComparison ? ask("hours", spanOf(period.before)) : null,
      unlessRefused(ask("log", spanOf(shown))),
    ]);
    return {
      machines,
      rows: now.rows,
      workings: now.workings,
      before: before?.rows ?? null,
      log: log && {
        backup: log.backup,
        counts: sumOfReadings(log.readings),
        readings: log.readings.length,
        coverage: log.coverage,
        shown,
      },
    };
  },
  View,
});

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, calendar, period } = visit;
  const { machines, rows, before, log } = data;
  const own = new Set(badged(machines));
  const total = totalHours(rows, machines);
  const inUse = rows.filter(({ sessions }) => sessions).length;
  const by = bucketFor(visit.may);
  const shown = bucketsAround(by, period, calendar.firstDay ?? calendar.today);
  return (
    <>
      <h1>Today at the workshop</h1>
      <LogAge visit={visit} />
      <MonthsOnly visit={visit} />
      <Entry name="The hours" id="hours" chief={{ figure: reader.hours(total), unit: "badge hours" }}>
        <p>
          From {reader.days(period.lived ?? period.days)} badges enabled machines for <Key>{reader.hours(total)} hours</Key>
          {rows.length ? `, on ${counted(reader, inUse, "machine")}` : ""}.
          {period.wantsComparison && period.before && before ? (
            <BeforeWords now={total} before={totalHours(before, machines)} days={period.before} reader={reader} />
          ) : null}
        </p>
        <Figure
          chart="timeBars"
          title={`Badge hours by ${by}, all machines`}
          unit={`hours a ${by}; the days chosen above in the accent`}
          settings={{ by, shown, chosen: period.days, what: "enabledHours", machines: [...own] }}
          source={{ command: "hours", params: { by, ...spanOf(shown) } }}
          reader={reader}
          workings={withStep(data.workings, steps.sumOfMachines)}
        />
      </Entry>
      <Entry
        name="The machines"
        id="machines"
        chief={{ figure: reader.count(inUse), unit: inUse === 1 ? "machine used" : "machines used" }}
      >
        <BusiestWords rows={rows} machines={machines} reader={reader} />
        <Figure
          chart="machineBars"
          title={rows.length > busiest ? `Hours of the ${reader.count(busiest)} busiest machines` : "Hours by machine"}
          unit="hours over the days chosen"
          settings={{ machines: machines.map(({ machine, name }) => ({ machine, name })), atMost: busiest }}
          rows={rows.filter(({ machine }) => own.has(machine))}
          source={{ command: "hours", params: livedSpan(period) }}
          reader={reader}
          workings={data.workings}
        >
          <p>
            <span class="swatch bar" /> badge hours <span class="swatch dot" /> run-hours, the line their range
          </p>
        </Figure>
        <p>
          <a href="/machines">All machines</a>
        </p>
      </Entry>
      {log ? (
        <>
          <Entry
            name="The log"
            id="log"
            chief={{ figure: reader.count(sumOf(log.coverage)), unit: `events in ${reader.count(freshDays)} days` }}
          >
            <p>
              In the {reader.count(freshDays)} days up to its end the log has{" "}
              <Key>{counted(reader, sumOf(log.coverage), "event")}</Key> from{" "}
              {counted(reader, new Set(log.coverage.map(({ station }) => station)).size, "station")}.{" "}
              <a href="/log">How the data fare</a>
            </p>
            <BackupWords backup={log.backup} visit={visit} />
            <Figure
              chart="freshness"
              title="Events by day, all stations"
              unit={`events a day, the last ${reader.count(freshDays)} days of the log`}
              settings={{ shown: log.shown }}
              rows={log.coverage}
              reader={reader}
              workings={workings.coverage}
            />
          </Entry>
          <Entry
            name="The lines"
            id="lines"
            chief={{
              figure: reader.count(log.counts.rejected),
              unit: log.counts.rejected === 1 ? "line rejected" : "lines rejected",
            }}
          >
            <p>
              Of <Key>{counted(reader, log.counts.lines, "line")}</Key> in {counted(reader, log.readings, "reading")} of files,{" "}
              {reader.count(log.counts.stored)} were stored and <RejectedWords counts={log.counts} reader={reader} />
            </p>
            <Figure
              chart="counts"
              title="What became of every line"
              unit="lines, and their share of all lines read"
              settings={{}}
              rows={fiveCounts(log.counts)}
              reader={reader}
              workings={workings.counts}
            />
          </Entry>
        </>
      ) : null}
    </>
  );
}

const sumOf = (coverage: readonly Covered[]): number => coverage.reduce((sum, { events }) => sum + events, 0);

function BeforeWords({ now, before, days, reader }: { now: number; before: number; days: Days; reader: Reader }): JSX.Element {
  return (
    <>
      {" "}
      From {reader.days(days)} it was {reader.hours(before)} hours: now <Key>{changeWords(now, before, reader)}</Key>.
    </>
  );
}

function BusiestWords({
  rows,
  machines,
  reader,
}: {
  rows: readonly HoursRow[];
  machines: readonly Machine[];
  reader: Reader;
}): JSX.Element {
  const own = new Set(badged(machines));
  const [first, ...others] = rows
    .filter(({ machine }) => own.has(machine))
    .sort((a, b) => (b.enabledHours.best ?? 0) - (a.enabledHours.best ?? 0));
  if (!first) return <p>No machine was used in these days.</p>;
  const idle = machines.filter(({ machine, kind }) => kind === "stations" && !rows.some((row) => row.machine === machine));
  const next = others
    .slice(0, 2)
    .map(({ machine, enabledHours }) => `${nameOf(machines, machine)} with ${reader.range(enabledHours)} hours`);
  return (
    <p>
      <a href={`/machines/${encodeURIComponent(first.machine)}`}>{nameOf(machines, first.machine)}</a> was enabled longest,{" "}
      <Key>{reader.range(first.enabledHours)} hours</Key>
      {first.runHours.best === null ? "" : `, and its motor ran ${reader.range(first.runHours)}`}.
      {next.length ? ` Then come ${listed(next)}.` : ""}
      {idle.length
        ? ` ${listed(idle.slice(0, 4).map(({ name }) => name))}${idle.length > 4 ? ` and ${counted(reader, idle.length - 4, "other")}` : ""} saw no badge.`
        : ""}
    </p>
  );
}

function BackupWords({ backup, visit }: { backup: Backup | null; visit: Visit }): JSX.Element {
  const { reader, calendar } = visit;
  if (backup === null)
    return <p>No backup of all this has been made yet: the workshop file's backup lets one be made each night.</p>;
  return (
    <p>
      The last backup is from {reader.day(backup.madeDay)},{" "}
      <Key>{reader.age(Date.parse(calendar.now) - Date.parse(backup.madeAt))} ago</Key>.
    </p>
  );
}

function RejectedWords({ counts, reader }: { counts: FiveCounts; reader: Reader }): JSX.Element {
  if (counts.rejected === 0) return <>none was rejected.</>;
  return (
    <>
      <Key>{reader.count(counts.rejected)} rejected</Key>: each stands in the <a href="/log#rejects">Log</a> with its file, line
      and reason.
    </>
  );
}
