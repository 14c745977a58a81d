// How long parts last: the set interval and the one the record suggests side by side, in money, and the volunteer's word on it.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Wide } from "../frame/wide.tsx";
import type { Reader } from "../words/reader.ts";
import type { LifeRow } from "./answers.ts";
import { post } from "./post.ts";
import { unitWords } from "./words.ts";

const adviceWords: Record<LifeRow["interval"]["advice"], string> = {
  replace: "The record suggests replacing it at an age.",
  inspect: "No early replacement: inspect instead.",
  "run-to-failure": "No early replacement: leave it in until it is found at its end.",
  "not-enough": "Not enough yet to suggest anything.",
};
const verdictWords = { "getting-worse": "comes faster", "getting-better": "comes slower", "no-trend": "no trend shows" } as const;

interface Shown {
  rows: readonly LifeRow[];
  currency: string;
  mayDecide: boolean;
  reader: Reader;
}

export function Lives({ rows, mayDecide, reader }: Omit<Shown, "currency">): JSX.Element {
  return (
    <>
      {rows.map((row) => (
        <LifeOf key={`${row.part} ${row.task}`} row={row} mayDecide={mayDecide} reader={reader} />
      ))}
    </>
  );
}

function LifeOf({ row, mayDecide, reader }: { row: LifeRow; mayDecide: boolean; reader: Reader }): JSX.Element {
  const { interval, prior, decision, unit } = row;
  const units = unitWords(unit);
  const money = (perUnit: number | null): string => (perUnit === null ? "–" : reader.figure(100 * perUnit));
  const age = (amount: number | null): string => (amount === null ? "–" : `${reader.figure(amount)} ${units}`);
  const range = ({ low, best, high }: LifeRow["shape"]): string =>
    `${reader.figure(best)} (${reader.figure(low)}–${reader.figure(high)})`;
  return (
    <section class="life">
      <h3>
        {row.partName}: {row.taskName}
      </h3>
      <p>
        <strong>{adviceWords[interval.advice]}</strong> {interval.reason}.
      </p>
      <Wide name={`What each way costs, ${row.partName}, ${row.taskName}`}>
        <table>
          <thead>
            <tr>
              <th scope="col">Way</th>
              <th scope="col">At</th>
              <th scope="col">Money per 100 {units}</th>
            </tr>
          </thead>
          <tbody>
            <tr>
              <th scope="row">Set in the workshop file</th>
              <td>{age(interval.setHours)}</td>
              <td>{money(interval.costPerHourSet)}</td>
            </tr>
            <tr>
              <th scope="row">Suggested by the record</th>
              <td>{interval.advice === "replace" && interval.hours ? age(interval.hours.best) : "–"}</td>
              <td>{interval.advice === "replace" ? money(interval.costPerHour) : "–"}</td>
            </tr>
            <tr>
              <th scope="row">Left in to its end</th>
              <td>–</td>
              <td>{money(interval.costPerHourRunToFailure)}</td>
            </tr>
          </tbody>
        </table>
      </Wide>
      <p>
        {reader.count(row.failures)} ended by wear ({reader.count(row.worn)} found worn in time),{" "}
        {reader.count(row.rightCensored)} cut short or still in use
        {row.leftOut > 0 ? `, ${reader.count(row.leftOut)} of unknown age left out` : ""}. One in ten is at its end by{" "}
        {range(row.b10Hours)} {units}; shape {range(row.shape)}. Before any life was seen: {range(prior.b10Hours)} {units}, shape{" "}
        {range(prior.shape)} ({prior.source}).
      </p>
      {"verdict" in row.trend ? (
        <p>
          Do failures come faster? {verdictWords[row.trend.verdict]} (p = {reader.figure(row.trend.p, 2)}).
        </p>
      ) : null}
      {decision ? (
        <p>
          Decided on {reader.day(decision.time.slice(0, 10))}
          {decision.by ? ` by ${decision.by}` : ""}: {decisionWords(decision, age)}.
        </p>
      ) : null}
      {mayDecide ? <Decide row={row} /> : null}
      <p class="note">
        Found dull or badly set, a cutter comes out of service now, whatever the hours say. A forecast never replaces an
        inspection.
      </p>
    </section>
  );
}

function decisionWords({ choice, interval }: NonNullable<LifeRow["decision"]>, age: (amount: number | null) => string): string {
  if (choice === "set") return "stay with the workshop file's interval";
  if (choice === "inspect") return "inspect, and leave it in until it is found at its end";
  if (choice === "run-to-failure") return "leave it in until it is found at its end";
  return `replace at ${age(interval)}${choice === "suggested" ? ", as suggested" : ""}`;
}

function Decide({ row }: { row: LifeRow }): JSX.Element {
  const [said, setSaid] = useState<string | null>(null);
  const decide = (choice: string): void => {
    void post("life", { machine: row.machine, part: row.part, task: row.task, choice }).then((problem) =>
      setSaid(problem ?? "Kept."),
    );
  };
  const name = `${row.partName}, ${row.taskName}`;
  return (
    <fieldset class="found">
      <legend>
        <span class="unseen">{name}. </span>You decide:
      </legend>
      {row.interval.advice === "replace" ? (
        <button type="button" onClick={() => decide("suggested")}>
          As suggested
        </button>
      ) : null}
      <button type="button" onClick={() => decide("set")}>
        As set
      </button>
      <button type="button" onClick={() => decide("run-to-failure")}>
        Leave it in to its end
      </button>
      <p role="status">{said}</p>
    </fieldset>
  );
}
