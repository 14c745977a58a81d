// Safety: what is worth a walk. The nights as a map, the list with its evidence, lengths against their fences, permissions that end.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Safety, SafetyFinding } from "../ask/answers.ts";
import type { ChartRows, NightDay } from "../charts/chart.ts";
import { Figure } from "../charts/figure.tsx";
import { Wide } from "../frame/wide.tsx";
import { daysBetween, plusDays } from "../period/days.ts";
import type { Days } from "../period/period.ts";
import { counted, type Reader } from "../words/reader.ts";
import { clockWords, ruleName } from "../words/rules.ts";
import { Entry, Key } from "./entry.tsx";
import { leaf, type Visit } from "./leaf.ts";
import { LogAge } from "./log-age.tsx";
import { spanOf } from "./questions.ts";
import { workings } from "./workings.ts";

interface Data {
  shown: Days;
  mapped: Days;
  nights: NightDay[];
  /** One that passes midnight is one. */
  stretches: number;
  strips: ChartRows["lengthStrip"][];
  findings: SafetyFinding[];
  hidden: number;
  expectedFalse: Record<string, number>;
  permissions: Safety["permissions"];
}

/** More days than this would be thinner than a line of print. */
const mostNights = 92;

export const safety = leaf<Data>({
  id: "safety",
  path: "/safety",
  entry: "Safety",
  need: "see-findings",
  readsLog: true,
  hasPeriod: true,
  title: () => "Safety",
  async load({ ask }, { period }) {
    const shown = period.lived ?? period.days;
    const answer = await ask("safety", spanOf(shown));
    const earliest = plusDays(shown.until, 1 - mostNights);
    const mapped = { since: shown.since < earliest ? earliest : shown.since, until: shown.until };
    return {
      shown,
      mapped,
      nights: nightsOf(answer, mapped),
      stretches: new Set(answer.stretches.filter(({ day }) => day >= mapped.since && day <= mapped.until).map(({ id }) => id))
        .size,
      strips: answer.lengths.map((strip) => ({ ...strip, far: farOf(answer.findings, strip.machine) })),
      findings: [...answer.findings].sort(openFirst),
      hidden: answer.hidden,
      expectedFalse: answer.expectedFalse,
      permissions: answer.permissions,
    };
  },
  View,
});

/** One row a day, also where nothing happened. */
export function nightsOf({ open, stretches }: Pick<Safety, "open" | "stretches">, { since, until }: Days): NightDay[] {
  const nights = new Map<string, NightDay>();
  for (let i = 0; i <= daysBetween(since, until); i += 1) {
    const day = plusDays(since, i);
    nights.set(day, { day, open: [], stretches: [] });
  }
  for (const { day, ...part } of open) nights.get(day)?.open.push(part);
  for (const { day, from, until: end, rule } of stretches) nights.get(day)?.stretches.push({ from, until: end, rule });
  return [...nights.values()];
}

const farOf = (findings: readonly SafetyFinding[], machine: string): number[] =>
  findings
    .filter((finding) => finding.rule === "long-session" && finding.machine === machine)
    .flatMap(({ evidence }) => (typeof evidence.figures.seconds === "number" ? [evidence.figures.seconds / 60] : []))
    .sort((a, b) => a - b);

const gravity = ["grave", "high", "medium", "low"];
const openFirst = (a: SafetyFinding, b: SafetyFinding): number =>
  Number(a.state !== "open") - Number(b.state !== "open") ||
  gravity.indexOf(a.severity) - gravity.indexOf(b.severity) ||
  b.fromDay.localeCompare(a.fromDay) ||
  b.fromHours - a.fromHours;

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, may } = visit;
  const open = data.findings.filter(({ state }) => state === "open");
  const { stretches } = data;
  const expected = Object.values(data.expectedFalse).reduce((sum, one) => sum + one, 0);
  return (
    <>
      <h1>Safety</h1>
      <LogAge visit={visit} />
      <p class="caution">
        This is no alarm and no lone-worker device. The log is read afterwards and sees badges, not people: somebody without a
        badge may have been there, a badge may be lent, and a badge in a holder is not a turning blade.
      </p>
      <Entry
        name="Nights"
        id="nights"
        chief={{ figure: reader.count(stretches), unit: stretches === 1 ? "stretch" : "stretches" }}
      >
        <p>
          From {reader.days(data.mapped)} there {stretches === 1 ? "was" : "were"}{" "}
          <Key>{counted(reader, stretches, "stretch", "stretches")}</Key> with somebody alone, use behind closed doors, or a badge
          left in its holder. Working alone is not wrong in itself; some tasks need a second person.
        </p>
        <Figure
          chart="nightMap"
          title="Days and nights"
          unit="hours of the workshop's clock; shaded where the doors are open"
          settings={{}}
          rows={data.nights}
          reader={reader}
          workings={workings.nights}
        >
          <ul class="night-key">
            <li>
              <span class="swatch staffed" /> open, staffed
            </li>
            <li>
              <span class="swatch member" /> open to members
            </li>
            <li>
              <span class="swatch alone" /> alone in closed hours
            </li>
            <li>
              <span class="swatch hazard" /> alone on a machine nobody should be alone on
            </li>
            <li>
              <span class="swatch closed" /> use in closed hours
            </li>
            <li>
              <span class="swatch left" /> badge left in
            </li>
          </ul>
        </Figure>
      </Entry>
      <Entry name="To look at" id="findings" chief={{ figure: reader.count(open.length), unit: "open" }}>
        {data.findings.length === 0 ? (
          <p>From {reader.days(data.shown)} the log shows nothing that is worth a walk.</p>
        ) : (
          <>
            <p>
              From {reader.days(data.shown)} there are <Key>{counted(reader, open.length, "open finding")}</Key>, and{" "}
              {reader.count(data.findings.length - open.length)} that somebody has looked at. Of those judged by chance about{" "}
              {reader.figure(expected, 2)} may be nothing.
              {data.hidden > 0 ? ` ${counted(reader, data.hidden, "earlier one")} don't fit here: choose fewer days.` : ""}
            </p>
            <ol class="findings">
              {data.findings.map((finding) => (
                <Found key={finding.id} finding={finding} reader={reader} mayReview={may.includes("do-review")} />
              ))}
            </ol>
          </>
        )}
      </Entry>
      <Entry name="Lengths" id="lengths">
        <p>
          Each machine is held against its own sessions, on a log scale. Fences respect skew; what lies beyond the upper one and
          is rarer than about one session in ten thousand stands in the list above.
        </p>
        <Figure
          chart="lengthStrip"
          title="How long sessions last"
          unit="minutes, hours and days, ten times as long at each equal step"
          settings={{}}
          rows={data.strips}
          reader={reader}
          workings={workings.strips}
        />
      </Entry>
      <Entry
        name="Permissions"
        id="permissions"
        chief={{ figure: reader.count(data.permissions.length), unit: "end in 30 days" }}
      >
        <Permissions permissions={data.permissions} reader={reader} />
      </Entry>
    </>
  );
}

const whenWords = ({ fromDay, fromHours, untilDay, untilHours }: SafetyFinding, reader: Reader): string => {
  const start = `${reader.day(fromDay)}, ${clockWords(fromHours)}`;
  if (fromDay === untilDay) {
    const end = clockWords(untilHours);
    return end === clockWords(fromHours) ? start : `${start} to ${end}`;
  }
  return `${start}, to ${reader.day(untilDay)}, ${clockWords(untilHours)}`;
};

function Found({ finding, reader, mayReview }: { finding: SafetyFinding; reader: Reader; mayReview: boolean }): JSX.Element {
  const [state, setState] = useState(finding.state);
  return (
    <li class={state === "open" ? `finding ${finding.severity}` : "finding reviewed"}>
      <h3>
        {ruleName(finding.rule)} <span class="severity">{state === "open" ? finding.severity : state}</span>
      </h3>
      <p class="when">{whenWords(finding, reader)}</p>
      <p>{finding.evidence.text}</p>
      <p class="small">{finding.evidence.unknown}</p>
      {finding.near.length > 0 ? (
        <details>
          <summary>{counted(reader, finding.near.length, "session")} around it</summary>
          <ul class="near">
            {finding.near.map((near) => (
              <li key={`${near.machine} ${near.from.day} ${near.from.hours}`}>
                {reader.shortDay(near.from.day)}, {clockWords(near.from.hours)} to {clockWords(near.until.hours)}:{" "}
                {near.machineName}
                {near.badge === null ? "" : `, badge ${near.badge}`}
                {near.ended === "released" ? "" : ` (${near.ended})`}
              </li>
            ))}
          </ul>
        </details>
      ) : null}
      {mayReview ? <Review finding={finding} state={state} onSaid={setState} /> : null}
    </li>
  );
}

const said: [state: string, words: string][] = [
  ["explained", "Explained"],
  ["acted", "Acted on"],
  ["dismissed", "Dismiss"],
  ["open", "Open again"],
];

function Review({
  finding,
  state,
  onSaid,
}: {
  finding: SafetyFinding;
  state: string;
  onSaid: (state: string) => void;
}): JSX.Element {
  const [note, setNote] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const say = async (next: string) => {
    setProblem(null);
    try {
      const response = await fetch("/api/v1/review", {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ id: finding.id, state: next, ...(note.trim() === "" ? {} : { note: note.trim() }) }),
      });
      if (!response.ok) return setProblem(`The server answered with ${response.status}; nothing was noted.`);
      setNote("");
      onSaid(next);
    } catch {
      setProblem("The server can't be reached; nothing was noted.");
    }
  };
  return (
    <details class="review">
      <summary>{state === "open" ? "Say what became of it" : "Say otherwise"}</summary>
      <div class="typed">
        <p class="field">
          <label>
            Why, in a few words
            <input value={note} autocomplete="off" onInput={(event) => setNote((event.target as HTMLInputElement).value)} />
          </label>
        </p>
        <p class="buttons">
          {said
            .filter(([each]) => each !== state)
            .map(([each, words]) => (
              <button type="button" key={each} onClick={() => void say(each)}>
                {words}
              </button>
            ))}
        </p>
        {problem ? (
          <p class="problem" role="status">
            {problem}
          </p>
        ) : null}
      </div>
    </details>
  );
}

function Permissions({ permissions, reader }: { permissions: Safety["permissions"]; reader: Reader }): JSX.Element {
  if (permissions.length === 0) return <p>No authorisation on the roster ends within thirty days.</p>;
  return (
    <>
      <p>{counted(reader, permissions.length, "authorisation")} on the roster will have ended thirty days from today.</p>
      <Wide name="Permissions that end">
        <table class="numbers">
          <thead>
            <tr>
              <th scope="col">Who</th>
              <th scope="col">Last day</th>
              <th scope="col">For</th>
              <th scope="col">Sessions in 90 days</th>
            </tr>
          </thead>
          <tbody>
            {permissions.map(({ badge, person, name, machines, validUntil, sessions }) => (
              <tr key={`${badge} ${validUntil}`}>
                <th scope="row">{name ?? person}</th>
                <td>{reader.day(validUntil)}</td>
                <td class="word">{machines.join(", ") || "every machine"}</td>
                <td>{reader.count(sessions)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
