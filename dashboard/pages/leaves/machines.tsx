// Machines: every machine with its hours, and the stations that no machine claims.
import type { JSX } from "preact";
import type { HoursRow, Machine, MaybeRange, Workings } from "../ask/answers.ts";
import { Figure } from "../charts/figure.tsx";
import { Wide } from "../frame/wide.tsx";
import type { Days } from "../period/period.ts";
import { changeWords } from "../words/change.ts";
import { counted, listed, type Reader } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { leaf, type Visit } from "./leaf.ts";
import { Notes } from "./notes.tsx";
import { badged, livedSpan, nameOf, spanOf } from "./questions.ts";

interface Data {
  machines: Machine[];
  rows: HoursRow[];
  before: HoursRow[] | null;
  workings: Workings;
  notes: string[];
}

export const machines = leaf<Data>({
  id: "machines",
  path: "/machines",
  entry: "Machines",
  need: "see-use",
  readsLog: true,
  hasPeriod: true,
  compares: true,
  title: () => "Machines",
  async load({ ask }, { period }) {
    const [{ machines }, { rows, workings, notes }, before] = await Promise.all([
      ask("machines"),
      ask("hours", livedSpan(period)),
      period.before && period.wantsComparison ? ask("hours", spanOf(period.before)) : null,
    ]);
    return { machines, rows, before: before?.rows ?? null, workings, notes };
  },
  View,
});

const barsShown = 40;

/** Every word asked for stands somewhere in the machine's name, id, group, room or stations. */
export function foundMachines(all: readonly Machine[], find: string | undefined): Machine[] {
  const words = (find ?? "").toLowerCase().split(/\s+/).filter(Boolean);
  return all.filter(({ name, machine, group, room, stations }) => {
    const text = [name, machine, group, room ?? "", ...stations].join(" ").toLowerCase();
    return words.every((word) => text.includes(word));
  });
}

export const kindWords: Record<string, string> = {
  stations: "has stations",
  driven: "runs with others",
  "always-on": "always on",
  meter: "known by its meter",
};

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, period, query } = visit;
  const found = foundMachines(data.machines, query.find);
  const claimed = found.filter((machine) => machine.claimed);
  const unclaimed = found.filter((machine) => !machine.claimed);
  const shown = new Set(found.map(({ machine }) => machine));
  const rows = data.rows.filter(({ machine }) => shown.has(machine));
  return (
    <>
      <h1>Machines</h1>
      {query.find ? (
        <p class="lead">
          {found.length === 0 ? "No machine" : counted(reader, found.length, "machine")} of {reader.count(data.machines.length)}{" "}
          with <q>{query.find}</q>. <a href="/machines">All machines</a>
        </p>
      ) : (
        <p class="lead">
          <Key>{counted(reader, claimed.length, "machine")}</Key> in the workshop file;{" "}
          {counted(reader, rows.filter(({ sessions }) => sessions).length, "machine")} saw a badge from{" "}
          {reader.days(period.lived ?? period.days)}.
        </p>
      )}
      {data.before && period.before ? <BeforeWords data={data} days={period.before} shown={shown} reader={reader} /> : null}
      {claimed.length ? <MachineTable name="Machines and their hours" machines={claimed} rows={rows} reader={reader} /> : null}
      {unclaimed.length ? (
        <Entry name="Unclaimed" id="unclaimed">
          <p>
            {counted(reader, unclaimed.length, "station")} in the log {unclaimed.length === 1 ? "belongs" : "belong"} to no
            machine of the workshop file. Nothing is lost: write the station into the file and its hours go to that machine,
            without reading the log again.
          </p>
          <MachineTable name="Unclaimed stations and their hours" machines={unclaimed} rows={rows} reader={reader} />
        </Entry>
      ) : null}
      {rows.length ? (
        <Entry name="Compared" id="compared">
          <p>Badge time is not cutting time: the bar is how long a badge sat in the holder, the dot how long the motor ran.</p>
          <Figure
            chart="machineBars"
            title={rows.length > barsShown ? `Hours of the ${reader.count(barsShown)} busiest machines` : "Hours by machine"}
            unit="hours over the days chosen"
            settings={{ machines: data.machines.map(({ machine, name }) => ({ machine, name })), atMost: barsShown }}
            rows={rows}
            source={{ command: "hours", params: livedSpan(period) }}
            reader={reader}
            workings={data.workings}
          >
            <p>
              <span class="swatch bar" /> badge hours <span class="swatch dot" /> run-hours, the line their range
            </p>
          </Figure>
        </Entry>
      ) : null}
      <Notes notes={data.notes} />
    </>
  );
}

function MachineTable({
  name: called,
  machines,
  rows,
  reader,
}: {
  name: string;
  machines: readonly Machine[];
  rows: readonly HoursRow[];
  reader: Reader;
}): JSX.Element {
  const byMachine = new Map(rows.map((row) => [row.machine, row]));
  return (
    <Wide name={called}>
      <table class="numbers machines">
        <thead>
          <tr>
            <th scope="col">Machine</th>
            <th scope="col" class="word spare">
              Room
            </th>
            <th scope="col">Badge hours</th>
            <th scope="col">Run-hours</th>
            <th scope="col">Sessions</th>
            <th scope="col" class="spare">
              Starts
            </th>
          </tr>
        </thead>
        <tbody>
          {machines.map(({ machine, name, room, kind }) => {
            const row = byMachine.get(machine);
            return (
              <tr key={machine}>
                <th scope="row">
                  <a href={`/machines/${encodeURIComponent(machine)}`}>{name}</a>
                  {kind === "stations" ? null : <small> {kindWords[kind] ?? kind}</small>}
                </th>
                <td class="word spare">{room ?? "–"}</td>
                <td>
                  <RangeCell range={row?.enabledHours} reader={reader} />
                </td>
                <td>
                  <RangeCell range={row?.runHours} reader={reader} />
                </td>
                <td>{row?.sessions === null || row === undefined ? "–" : reader.count(row.sessions)}</td>
                <td class="spare">{row?.starts === null || row === undefined ? "–" : reader.count(row.starts)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </Wide>
  );
}

/** What became of the hours since the days before: of all, and of the machines that changed most. */
function BeforeWords({
  data: { machines, rows, before },
  days,
  shown,
  reader,
}: {
  data: Data;
  days: Days;
  shown: ReadonlySet<string>;
  reader: Reader;
}): JSX.Element {
  const own = new Set(badged(machines).filter((machine) => shown.has(machine)));
  const sum = (of: readonly HoursRow[], machine: string): number =>
    of.filter((row) => row.machine === machine).reduce((total, { enabledHours }) => total + (enabledHours.best ?? 0), 0);
  const changes = [...own]
    .map((machine) => ({ machine, now: sum(rows, machine), earlier: sum(before ?? [], machine) }))
    .filter(({ now, earlier }) => now + earlier > 0);
  const [now, then] = [
    changes.reduce((total, each) => total + each.now, 0),
    changes.reduce((total, each) => total + each.earlier, 0),
  ];
  const most = changes
    .filter((each) => each.now !== each.earlier)
    .sort((a, b) => Math.abs(b.now - b.earlier) - Math.abs(a.now - a.earlier))
    .slice(0, 3)
    .map((each) => `${nameOf(machines, each.machine)} ${reader.hours(each.earlier)} → ${reader.hours(each.now)}`);
  return (
    <p>
      From {reader.days(days)} badges enabled them for {reader.hours(then)} hours: now {reader.hours(now)},{" "}
      <Key>{changeWords(now, then, reader)}</Key>.{most.length ? ` What changed most: ${listed(most)} hours.` : ""}
    </p>
  );
}

/** A range whose ends may go on a line of their own where room is short. */
function RangeCell({ range, reader }: { range: MaybeRange | undefined; reader: Reader }): JSX.Element {
  if (!range || range.best === null) return <>–</>;
  const [best, ...ends] = reader.range(range).split(" ");
  return (
    <>
      {best} {ends.length ? <span class="ends">{ends.join(" ")}</span> : null}
    </>
  );
}
