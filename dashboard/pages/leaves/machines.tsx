// Machines: every machine with its hours, and the stations that no machine claims.
import type { JSX } from "preact";
import type { HoursRow, Machine, MaybeRange, Workings } from "../ask/answers.ts";
import { Figure } from "../charts/figure.tsx";
import { Wide } from "../frame/wide.tsx";
import { counted, type Reader } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { leaf, type Visit } from "./leaf.ts";
import { Notes } from "./notes.tsx";
import { spanOf } from "./questions.ts";

interface Data {
  machines: Machine[];
  rows: HoursRow[];
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
  title: () => "Machines",
  async load({ ask }, { period }) {
    const [{ machines }, { rows, workings, notes }] = await Promise.all([ask("machines"), ask("hours", spanOf(period.days))]);
    return { machines, rows, workings, notes };
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
            source={{ command: "hours", params: spanOf(period.days) }}
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
