// Bench: sums on figures that a volunteer types in. They need no log, and replace no manual.
import type { JSX } from "preact";
import { NotAnswered, type Sum } from "../../ask/ask.ts";
import type { Query } from "../../period/period.ts";
import { Entry } from "../entry.tsx";
import { leaf, type Visit } from "../leaf.ts";
import { type Bearing, BearingAnswer, type BearingAsked, BearingForm, bearingFromQuery } from "./bearing.tsx";
import { type LifeSum, LivesAnswer, LivesForm } from "./lives.tsx";
import { type LineProblem, livesFromText } from "./lives-text.ts";

interface Data {
  lives: { text: string; problems: LineProblem[]; answer: LifeSum | null; complaint: string | null } | null;
  bearing: { asked: BearingAsked; answer: Bearing | null; complaint: string | null } | null;
}

export const bench = leaf<Data>({
  id: "bench",
  path: "/sums",
  entry: "Bench",
  need: "do-sums",
  readsLog: false,
  hasPeriod: false,
  title: () => "Bench",
  async load({ sum }, { query }) {
    const [lives, bearing] = await Promise.all([livesOf(query, sum), bearingOf(query, sum)]);
    return { lives, bearing };
  },
  View,
});

async function livesOf(query: Query, sum: Sum): Promise<Data["lives"]> {
  const text = query.lives;
  if (text === undefined || text.trim() === "") return null;
  const { lives, problems } = livesFromText(text);
  if (problems.length || lives.time.length === 0) return { text, problems, answer: null, complaint: null };
  const worked = await unlessComplaint(Promise.all([sum("weibull-fit", lives), sum("survival-curve", lives)]));
  if (typeof worked === "string") return { text, problems, answer: null, complaint: worked };
  const [fit, curve] = worked;
  return { text, problems, complaint: null, answer: { lives, fit, curve } as unknown as LifeSum };
}

async function bearingOf(query: Query, sum: Sum): Promise<Data["bearing"]> {
  const asked = bearingFromQuery(query);
  if (!asked) return null;
  const { dynamicLoadKn, loadKn, rpm, kind, reliability } = asked;
  const worked = await unlessComplaint(
    sum("bearing-life", {
      dynamicLoadKn: Number(dynamicLoadKn),
      loadKn: Number(loadKn),
      rpm: Number(rpm),
      kind,
      ...(reliability ? { reliability: Number(reliability) / 100 } : {}),
    }),
  );
  if (typeof worked === "string") return { asked, answer: null, complaint: worked };
  return { asked, complaint: null, answer: worked as unknown as Bearing };
}

/** What the figures are wrong in, in words, where that is why there is no answer. */
async function unlessComplaint<T>(answer: Promise<T>): Promise<T | string> {
  try {
    return await answer;
  } catch (error) {
    if (error instanceof NotAnswered && (error.status === 400 || error.status === 422)) return error.message;
    throw error;
  }
}

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, query } = visit;
  return (
    <>
      <h1>Bench</h1>
      <p class="lead">
        Figures in, a sum out: nothing typed here is kept. What you ask for stands in the address of the page, so that it can be
        sent to a friend.
      </p>
      <p class="caution">
        A fit or a rated life never replaces the maker's manual or an inspection. Found dull, cracked, loose or badly set, a part
        comes out of service now, whatever the hours say. Before hands go near it: isolate and lock out the energy source at the
        isolator, wait for run-down, test that it is dead; a badge switch or a stop button is no isolator.
      </p>
      <Entry name="Lives of a part" id="lives">
        <LivesForm
          text={data.lives?.text ?? ""}
          others={others(query, ["lives"])}
          problems={data.lives?.problems ?? []}
          complaint={data.lives?.complaint ?? null}
        />
        {data.lives?.answer ? <LivesAnswer sum={data.lives.answer} reader={reader} /> : null}
      </Entry>
      <Entry name="A bearing" id="bearing">
        <BearingForm
          asked={data.bearing?.asked ?? null}
          others={others(query, ["c", "p", "rpm", "kind", "reliability"])}
          complaint={data.bearing?.complaint ?? null}
        />
        {data.bearing?.answer ? <BearingAnswer asked={data.bearing.asked} bearing={data.bearing.answer} reader={reader} /> : null}
      </Entry>
    </>
  );
}

/** What the other forms of the page hold, to be carried along. */
const others = (query: Query, own: readonly string[]): [string, string][] =>
  Object.entries(query).filter((entry): entry is [string, string] => !own.includes(entry[0]) && entry[1] !== undefined);
