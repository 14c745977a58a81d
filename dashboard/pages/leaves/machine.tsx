// One machine: its hours by week or month with their range, its week as a map, its day's profile, how long its sessions last.
import type { JSX } from "preact";
import type { HoursRow, Machine, MaybeRange, Workings } from "../ask/answers.ts";
import { unlessRefused } from "../ask/ask.ts";
import { Figure } from "../charts/figure.tsx";
import type { NoteRow, OutageRow } from "../service/answers.ts";
import { changeWords } from "../words/change.ts";
import { counted, listed, type Reader } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { HeatLegend } from "./heat-legend.tsx";
import { leaf, type Visit } from "./leaf.ts";
import { MonthsOnly } from "./log-age.tsx";
import { kindWords } from "./machines.tsx";
import { Notes } from "./notes.tsx";
import { bucketFor, bucketsAround, livedSpan, spanOf } from "./questions.ts";
import { steps, withStep, workings } from "./workings.ts";

interface Data {
  machine: Machine;
  row: HoursRow | null;
  before: HoursRow | null;
  workings: Workings;
  notes: string[];
  /** Null for those who may not see Service. */
  care: { outages: OutageRow[]; said: NoteRow[] } | null;
}

export const machine = leaf<Data>({
  id: "machine",
  path: "/machines/:machine",
  need: "see-use",
  readsLog: true,
  hasPeriod: true,
  compares: true,
  title: (_visit, { machine }) => machine.name,
  async load({ ask }, { params, period }) {
    const { machines } = await ask("machines");
    const found = machines.find(({ machine }) => machine === params.machine);
    if (!found) return null;
    const of = { machine: found.machine };
    const [now, before, outages, said] = await Promise.all([
      ask("hours", { ...of, ...livedSpan(period) }),
      period.before && period.wantsComparison ? ask("hours", { ...of, ...spanOf(period.before) }) : null,
      unlessRefused(ask("outage list", of)),
      unlessRefused(ask("note list", { ...of, open: "true" })),
    ]);
    return {
      machine: found,
      row: now.rows[0] ?? null,
      before: before?.rows[0] ?? null,
      workings: now.workings,
      notes: now.notes,
      care: outages === null || said === null ? null : { outages: outages.outages.slice(-5).reverse(), said: said.notes },
    };
  },
  View,
});

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, period, calendar, may } = visit;
  const { machine, row, before } = data;
  const by = bucketFor(may);
  const shown = bucketsAround(by, period, calendar.firstDay ?? calendar.today);
  const lived = period.lived ?? period.days;
  const of = { machine: machine.machine };
  const hasStations = machine.kind === "stations";
  return (
    <>
      <h1>{machine.name}</h1>
      <Facts machine={machine} />
      <MonthsOnly visit={visit} />
      <p class="lead">
        From {reader.days(lived)} {row ? <HoursWords kind={machine.kind} row={row} reader={reader} /> : "no badge enabled it."}
        {period.wantsComparison && period.before ? (
          <> {comparisonWords(row, before, reader.days(period.before), reader)}</>
        ) : null}
      </p>
      {row?.openSessions ? (
        <p class="note">
          {counted(reader, row.openSessions, "session")} may still have been running when the log ended. An empty holder would not
          mean that the machine is without power: only its isolator, locked, does.
        </p>
      ) : null}
      <Entry
        name={by === "week" ? "Week by week" : "Month by month"}
        id="over-time"
        chief={
          row && row.enabledHours.best !== null
            ? { figure: reader.hours(row.enabledHours.best ?? 0), unit: "badge hours" }
            : undefined
        }
      >
        {hasStations ? (
          <Figure
            chart="timeBars"
            title={`Badge hours by ${by}`}
            unit={`hours a ${by}; the line is the range where ends were not seen`}
            settings={{ by, shown, chosen: period.days, what: "enabledHours", machines: [machine.machine] }}
            source={{ command: "hours", params: { by, ...of, ...spanOf(shown) } }}
            reader={reader}
            workings={data.workings}
          />
        ) : null}
        {by === "month" ? null : (
          <Figure
            chart="timeBars"
            title={`Run-hours by ${by}`}
            unit={`hours a ${by} the motor ran; the line is their range`}
            settings={{ by, shown, chosen: period.days, what: "runHours", machines: [machine.machine] }}
            source={{ command: "hours", params: { by, ...of, ...spanOf(shown) } }}
            reader={reader}
            workings={data.workings}
          />
        )}
      </Entry>
      {hasStations && row && by === "week" ? (
        <>
          <Entry name="Hour by hour" id="hour-by-hour">
            <Figure
              chart="weekMap"
              title="The week as a map"
              unit="minutes in use within an average hour, by the workshop's clock"
              settings={{ machines: [machine.machine], lived, places: 1 }}
              source={{ command: "hours", params: { by: "hour-of-week", ...of, ...livedSpan(period) } }}
              reader={reader}
              workings={withStep(data.workings, steps.hourOfWeek)}
            >
              <HeatLegend />
            </Figure>
            <Figure
              chart="dayProfile"
              title="The day's profile"
              unit="minutes in use within each hour of an average day"
              settings={{ machines: [machine.machine], lived, places: 1 }}
              source={{ command: "hours", params: { by: "hour-of-week", ...of, ...livedSpan(period) } }}
              reader={reader}
              workings={withStep(data.workings, steps.hourOfWeek)}
            />
          </Entry>
          {may.includes("see-members") ? (
            <Entry
              name="Sessions"
              id="sessions"
              chief={{ figure: reader.count(row.sessions ?? 0), unit: row.sessions === 1 ? "session" : "sessions" }}
            >
              <Figure
                chart="lengths"
                title="How long sessions last"
                unit="sessions by length"
                settings={{}}
                source={{ command: "sessions", params: { ...of, ...livedSpan(period) } }}
                reader={reader}
                workings={workings.lengths}
              >
                <p>
                  <span class="swatch full" /> end seen <span class="swatch hollow" /> end not seen, its likeliest length taken
                </p>
              </Figure>
            </Entry>
          ) : null}
        </>
      ) : null}
      {data.care && (data.care.outages.length > 0 || data.care.said.length > 0) ? (
        <Care care={data.care} reader={reader} />
      ) : null}
      <Notes notes={data.notes} />
    </>
  );
}

function Care({ care: { outages, said }, reader }: { care: NonNullable<Data["care"]>; reader: Reader }): JSX.Element {
  return (
    <Entry name="Out of order, and said of it" id="care">
      {outages.map(({ id, from, until, reason }) => (
        <p key={id}>
          {until === null ? "Tagged out since" : "Out of order from"} {reader.day(from.slice(0, 10))}
          {until === null ? "" : ` to ${reader.day(until.slice(0, 10))}`}
          {reason ? `: ${reason}` : ""}.
        </p>
      ))}
      {said.map(({ id, time, text }) => (
        <p key={id}>
          <q>{text}</q>, {reader.day(time.slice(0, 10))}
        </p>
      ))}
      <p class="note">
        A tag here is a note and no lock-out: before any work isolate the machine, lock out its energy source and test that it is
        dead.
      </p>
    </Entry>
  );
}

/** What the hours of a machine mean depends on how it is known. */
function HoursWords({ kind, row, reader }: { kind: string; row: HoursRow; reader: Reader }): JSX.Element {
  const run = <Key>{reader.range(row.runHours)} hours</Key>;
  if (row.suppressed && row.enabledHours.best === null) return <>its hours are held back: too few members used it.</>;
  if (kind === "meter") return <>its hour meter ran {run}.</>;
  if (kind === "always-on") return <>it ran {run}: it is always on.</>;
  if (kind === "driven")
    return (
      <>
        it ran {run} along with the machines that drive it
        {row.starts === null ? "" : `, in ${counted(reader, row.starts, "start")}`}
        {row.loadHours && row.loadHours.best !== null
          ? `, and took ${reader.range(row.loadHours)} load-hours: its drivers' hours, each by what it sends`
          : ""}
        .
      </>
    );
  return (
    <>
      it was enabled for <Key>{reader.range(row.enabledHours)} hours</Key>
      {row.sessions === null ? "" : ` in ${counted(reader, row.sessions, "session")}`}
      {row.members === null ? "" : ` by ${counted(reader, row.members, "member")}`}.
      {row.runHours.best === null ? null : <> Its motor ran {run}.</>}
    </>
  );
}

function Facts({ machine }: { machine: Machine }): JSX.Element {
  const { group, room, hazard, kind, stations, claimed } = machine;
  return (
    <dl class="facts">
      {claimed ? (
        <>
          <dt>Group</dt>
          <dd>{group}</dd>
          <dt>Room</dt>
          <dd>{room ?? "not given"}</dd>
          <dt>Hazard</dt>
          <dd>{hazard}</dd>
        </>
      ) : (
        <>
          <dt>Claimed</dt>
          <dd>by no machine of the workshop file</dd>
        </>
      )}
      {kind === "stations" ? (
        <>
          <dt>{stations.length === 1 ? "Station" : "Stations"}</dt>
          <dd>{stations.length ? listed(stations) : "none"}</dd>
        </>
      ) : (
        <>
          <dt>Kind</dt>
          <dd>{kindWords[kind] ?? kind}</dd>
        </>
      )}
    </dl>
  );
}

const none: MaybeRange = { low: 0, best: 0, high: 0 };

/** Badge hours, or run-hours where there are no badges; no row is no hours. */
const hoursOf = (row: HoursRow | null): MaybeRange =>
  row === null ? none : row.enabledHours.best === null ? row.runHours : row.enabledHours;

function comparisonWords(row: HoursRow | null, before: HoursRow | null, days: string, reader: Reader): string {
  const then = hoursOf(before);
  return `From ${days} it was ${reader.range(then)} hours: now ${changeWords(hoursOf(row).best ?? 0, then.best ?? 0, reader)}.`;
}
