// A bearing's rated life from its catalogue figures.
import type { JSX } from "preact";
import type { Workings } from "../../ask/answers.ts";
import { WorkingsList } from "../../charts/figure.tsx";
import type { Query } from "../../period/period.ts";
import type { Reader } from "../../words/reader.ts";
import { Key } from "../entry.tsx";

export interface BearingAsked {
  dynamicLoadKn: string;
  loadKn: string;
  rpm: string;
  kind: "ball" | "roller";
  /** Per cent, empty for the usual 90. */
  reliability: string;
}

export interface Bearing {
  millionRevs: number;
  hours: number;
}

export function bearingFromQuery(query: Query): BearingAsked | null {
  const { c, p, rpm, kind, reliability } = query;
  if (!c || !p || !rpm) return null;
  return { dynamicLoadKn: c, loadKn: p, rpm, kind: kind === "roller" ? "roller" : "ball", reliability: reliability ?? "" };
}

export function BearingForm({
  asked,
  others,
  complaint,
}: {
  asked: BearingAsked | null;
  others: [string, string][];
  complaint: string | null;
}): JSX.Element {
  return (
    <form class="typed figures" action="/sums" method="get">
      {others.map(([name, value]) => (
        <input type="hidden" key={name} name={name} value={value} />
      ))}
      <p class="field">
        <label for="c">Dynamic load rating C, kN, from the catalogue</label>
        <input
          id="c"
          name="c"
          inputMode="decimal"
          required
          pattern="[0-9]*[.]?[0-9]+"
          title="a figure such as 19.5"
          key={asked?.dynamicLoadKn}
          defaultValue={asked?.dynamicLoadKn}
        />
      </p>
      <p class="field">
        <label for="p">Equivalent load P it carries, kN</label>
        <input
          id="p"
          name="p"
          inputMode="decimal"
          required
          pattern="[0-9]*[.]?[0-9]+"
          title="a figure such as 2.4"
          key={asked?.loadKn}
          defaultValue={asked?.loadKn}
        />
      </p>
      <p class="field">
        <label for="rpm">Turns a minute</label>
        <input
          id="rpm"
          name="rpm"
          inputMode="decimal"
          required
          pattern="[0-9]*[.]?[0-9]+"
          title="a figure such as 2850"
          key={asked?.rpm}
          defaultValue={asked?.rpm}
        />
      </p>
      <p class="field">
        <label for="reliability">Share that shall reach it, % (90 where empty)</label>
        <input
          id="reliability"
          name="reliability"
          inputMode="decimal"
          pattern="[0-9]*[.]?[0-9]+"
          title="a figure such as 95"
          key={asked?.reliability}
          defaultValue={asked?.reliability}
        />
      </p>
      <fieldset>
        <legend>Kind</legend>
        <label>
          <input type="radio" name="kind" value="ball" defaultChecked={asked?.kind !== "roller"} /> balls
        </label>
        <label>
          <input type="radio" name="kind" value="roller" defaultChecked={asked?.kind === "roller"} /> rollers
        </label>
      </fieldset>
      {complaint ? (
        <p class="problem" role="alert">
          {complaint}
        </p>
      ) : null}
      <p class="buttons">
        <button type="submit">Work it out</button>
        <a
          class="quiet"
          href={`/sums?${new URLSearchParams({ ...Object.fromEntries(others), c: "19.5", p: "2.4", rpm: "2850", kind: "ball" })}#bearing`}
        >
          Try an example
        </a>
      </p>
    </form>
  );
}

const bearingWorkings: Workings = {
  formula: "L = a₁ (C ÷ P)^p million turns, p = 3 for balls and 10/3 for rollers; hours = L × 10⁶ ÷ (60 × turns a minute)",
  inputs: { figures: "as typed in, nothing else" },
  queries: ["analytics/stats/bench-sums.ts"],
  notes: ["ISO 281:2007, basic rating life; a₁ for shares other than 90 % from its table 12. Cited from memory."],
};

export function BearingAnswer({
  asked,
  bearing,
  reader,
}: {
  asked: BearingAsked;
  bearing: Bearing;
  reader: Reader;
}): JSX.Element {
  const share = asked.reliability ? Number(asked.reliability) / 100 : 0.9;
  return (
    <div class="answer" aria-live="polite">
      <p>
        Of many such bearings {reader.share(share)} would reach <Key>{reader.figure(bearing.hours)} hours</Key> of turning, or{" "}
        {reader.figure(bearing.millionRevs)} million turns, before the metal tires. Dirt, a dry race or a bad fit end most
        bearings in a workshop long before that: listen, feel for heat, and grease as the maker says.
      </p>
      <details>
        <summary>How this was worked out</summary>
        <WorkingsList workings={bearingWorkings} address={null} />
      </details>
    </div>
  );
}
