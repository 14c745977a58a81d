// Log: how the data fare. What became of every line, why lines were rejected, what silenced stations, who was heard when.
import type { JSX } from "preact";
import type { Cause, Covered, Reading, RejectReason } from "../ask/answers.ts";
import { unlessRefused } from "../ask/ask.ts";
import type { ChartRows } from "../charts/chart.ts";
import { Figure } from "../charts/figure.tsx";
import { grouped } from "../charts/sums.ts";
import { Wide } from "../frame/wide.tsx";
import { daysBetween } from "../period/days.ts";
import type { Days } from "../period/period.ts";
import { counted, listed, type Reader } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { fiveCounts, sumOfReadings } from "./five-counts.ts";
import { leaf, type Visit } from "./leaf.ts";
import { LogAge } from "./log-age.tsx";
import { spanOf } from "./questions.ts";
import { workings } from "./workings.ts";

/** Causes of one kind: how many there were, and the latest of them. */
interface CauseKind {
  kind: string;
  count: number;
  latest: Cause[];
}

interface Data {
  readings: Reading[];
  causes: CauseKind[];
  /** Null where the visitor may not see lines as written. */
  rejects: RejectReason[] | null;
  coverage: ChartRows["coverage"][];
  shown: Days;
}

const readingsShown = 12;
const causesShown = 10;

export const log = leaf<Data>({
  id: "log",
  path: "/log",
  entry: "Log",
  need: "see-log",
  readsLog: true,
  hasPeriod: true,
  title: () => "Log",
  async load({ ask }, { period }) {
    const shown = period.lived ?? period.days;
    // Lines as written may hold badges: who keeps the machines sees how many were rejected, not what they said.
    const lines = unlessRefused(ask("rejects", { by: "reason" }));
    const [log, rejects] = await Promise.all([ask("log", spanOf(shown)), lines]);
    return {
      readings: log.readings,
      causes: causeKinds(log.causes),
      rejects: rejects?.reasons ?? null,
      coverage: stationDays(log.coverage, shown),
      shown,
    };
  },
  View,
});

const gravest = ["power-cut", "contact", "server-down", "network-loss"];

/** What ends sessions before what only silences, the commoner before the rarer. */
export function causeKinds(causes: readonly Cause[]): CauseKind[] {
  const rank = (kind: string): number => (gravest.includes(kind) ? gravest.indexOf(kind) : gravest.length);
  return [...grouped(causes, ({ kind }) => kind)]
    .map(([kind, group]) => ({ kind, count: group.length, latest: group.slice(0, causesShown) }))
    .sort((a, b) => rank(a.kind) - rank(b.kind) || b.count - a.count);
}

const causeNames: Record<string, [one: string, many: string]> = {
  "power-cut": ["power cut", "power cuts"],
  "network-loss": ["loss of the network", "losses of the network"],
  "server-down": ["time the server was down", "times the server was down"],
  contact: ["bad contact", "bad contacts"],
};

/** One letter a day: e events, a only signs of life, - nothing. */
export function stationDays(coverage: readonly Covered[], { since, until }: Days): ChartRows["coverage"][] {
  const length = daysBetween(since, until) + 1;
  return [...grouped(coverage, ({ station }) => station)]
    .map(([station, rows]) => {
      const letters = new Array<string>(length).fill("-");
      for (const { day, events, alive } of rows) {
        const at = daysBetween(since, day);
        if (at >= 0 && at < length) letters[at] = events > 0 ? "e" : alive > 0 ? "a" : "-";
      }
      return { station, days: letters.join("") };
    })
    .sort((a, b) => a.station.localeCompare(b.station, "en", { numeric: true }));
}

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, period } = visit;
  const sum = sumOfReadings(data.readings);
  const rejected = data.rejects ? data.rejects.reduce((all, { rejects }) => all + rejects, 0) : sum.rejected;
  const causes = data.causes.reduce((all, { count }) => all + count, 0);
  return (
    <>
      <h1>Log</h1>
      <LogAge visit={visit} />
      <Entry name="The lines" id="lines" chief={{ figure: reader.count(sum.lines), unit: "lines read" }}>
        <p>
          <Key>{counted(reader, sum.lines, "line")}</Key> were read in {counted(reader, data.readings.length, "reading")} of
          files, whatever the days chosen. Every one is accounted for below; {reader.count(sum.repaired)} of the stored were
          repaired on the way, as the profile says.
        </p>
        <Figure
          chart="counts"
          title="What became of every line"
          unit="lines, and their share of all lines read"
          settings={{}}
          rows={fiveCounts(sum)}
          reader={reader}
          workings={workings.counts}
        />
        <Readings readings={data.readings} reader={reader} />
      </Entry>
      <Entry name="Rejected" id="rejects" chief={{ figure: reader.count(rejected), unit: rejected === 1 ? "line" : "lines" }}>
        {rejected === 0 ? (
          <p>No line was rejected.</p>
        ) : data.rejects === null ? (
          <p>What they say, and why they were rejected, is for a steward or the safety lead: a line may hold a badge.</p>
        ) : (
          <>
            <p>
              <Key>{counted(reader, rejected, "line")}</Key> could not be understood, for{" "}
              {counted(reader, data.rejects.length, "reason")}. A mended profile reads just these again:{" "}
              <code>almanac rejects --again --profile FILE</code>.
            </p>
            {data.rejects.map((group) => (
              <Rejects key={`${group.field} ${group.reason}`} group={group} reader={reader} />
            ))}
          </>
        )}
      </Entry>
      <Entry name="Causes" id="causes" chief={{ figure: reader.count(causes), unit: causes === 1 ? "cause" : "causes" }}>
        {causes === 0 ? (
          <p>From {reader.days(data.shown)} nothing silenced several stations at once.</p>
        ) : (
          <>
            <p>
              From {reader.days(data.shown)} the log shows <Key>{counted(reader, causes, "cause")}</Key> that ended sessions or
              silenced stations:{" "}
              {listed(data.causes.map(({ kind, count }) => counted(reader, count, ...(causeNames[kind] ?? [kind, kind]))))}. Each
              is inferred once, for all stations that it explains.
            </p>
            {data.causes.map((each, i) => (
              <CausesOfKind key={each.kind} causes={each} isOpen={i === 0} reader={reader} />
            ))}
          </>
        )}
      </Entry>
      <Entry
        name="Coverage"
        id="coverage"
        chief={{
          figure: reader.count(data.coverage.length),
          unit: data.coverage.length === 1 ? "station heard" : "stations heard",
        }}
      >
        <p>
          {counted(reader, data.coverage.length, "station")} {data.coverage.length === 1 ? "was" : "were"} heard from{" "}
          {reader.days(period.lived ?? period.days)}. A silent day may be a rest day; silence while others speak is worth a look.
        </p>
        <Figure
          chart="coverage"
          title="Stations heard, day by day"
          unit="a row a station, a column a local day"
          settings={{ shown: data.shown }}
          rows={data.coverage}
          reader={reader}
          workings={workings.coverage}
        >
          <p>
            <span class="swatch full" /> events <span class="swatch point" /> only signs of life <span class="swatch none" />{" "}
            nothing heard
          </p>
        </Figure>
      </Entry>
    </>
  );
}

function Readings({ readings, reader }: { readings: readonly Reading[]; reader: Reader }): JSX.Element {
  const names = ["lines", "stored", "duplicates", "ignored", "blank", "rejected", "repaired"] as const;
  return (
    <details class="readings">
      <summary>Each reading of a file</summary>
      <Wide name="Readings of files">
        <table class="numbers">
          <thead>
            <tr>
              <th scope="col">File</th>
              {names.map((name) => (
                <th scope="col" key={name}>
                  {name}
                </th>
              ))}
              <th scope="col">Read at</th>
            </tr>
          </thead>
          <tbody>
            {readings.slice(0, readingsShown).map((reading) => (
              <tr key={`${reading.file} ${reading.readAt}`}>
                <th scope="row" class="path">
                  {reading.file.split("/").at(-1)}
                </th>
                {names.map((name) => (
                  <td key={name}>{reader.count(reading[name])}</td>
                ))}
                <td>
                  <time dateTime={reading.readAt}>
                    {reader.day(reading.readDay)}, {reading.readClock}
                  </time>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {readings.length > readingsShown ? <p>And {reader.count(readings.length - readingsShown)} earlier readings.</p> : null}
    </details>
  );
}

function Rejects({ group, reader }: { group: RejectReason; reader: Reader }): JSX.Element {
  return (
    <details class="rejects">
      <summary>
        <span class="number">{reader.count(group.rejects)}</span> {group.reason}
        {group.field ? <small> in {group.field}</small> : null}
      </summary>
      <ol>
        {group.lines.map(({ file, line, text, reason }) => (
          <li key={`${file} ${line}`}>
            <p>
              <span class="path">{file.split("/").at(-1)}</span> line {reader.count(line)}: {reason}
            </p>
            <pre>
              <code>{text}</code>
            </pre>
          </li>
        ))}
      </ol>
      {group.rejects > group.lines.length ? (
        <p>
          The first {reader.count(group.lines.length)} of {reader.count(group.rejects)}; all of them with{" "}
          <code>almanac rejects</code>.
        </p>
      ) : null}
    </details>
  );
}

function CausesOfKind({
  causes: { kind, count, latest },
  isOpen,
  reader,
}: {
  causes: CauseKind;
  isOpen: boolean;
  reader: Reader;
}): JSX.Element {
  return (
    <details class="rejects" open={isOpen}>
      <summary>
        <span class="number">{reader.count(count)}</span> {causeNames[kind]?.[count === 1 ? 0 : 1] ?? kind}
        {count > latest.length ? <small> the latest {reader.count(latest.length)}</small> : null}
      </summary>
      <ul class="causes">
        {latest.map((cause) => (
          <li key={`${cause.fromBest} ${cause.stations.join()}`}>
            <p class="small">
              <time dateTime={cause.fromBest}>{reader.day(cause.day)}</time>, from{" "}
              {cause.clockLow === cause.clockHigh ? cause.clockLow : `${cause.clockLow}–${cause.clockHigh}`}
              {cause.clockUntil ? ` until ${cause.clockUntil}` : ""}
            </p>
            <p>{cause.text}</p>
          </li>
        ))}
      </ul>
    </details>
  );
}
