// Rounds: the steward's month on one page. What wants doing comes first; the rest is said to be fine.
import type { JSX } from "preact";
import { counted } from "../words/reader.ts";
import { Entry, Key } from "./entry.tsx";
import { leaf, type Visit } from "./leaf.ts";

export interface RoundRow {
  id: string;
  name: string;
  wantsDoing: boolean;
  says: string;
  details: string[];
}

interface Data {
  rounds: RoundRow[];
}

export const rounds = leaf<Data>({
  id: "rounds",
  path: "/rounds",
  need: "do-setup",
  readsLog: false,
  hasPeriod: false,
  title: () => "Rounds",
  async load({ ask }) {
    const { rounds } = await ask("rounds");
    return { rounds };
  },
  View,
});

/** Where each is put right. */
const doors: Readonly<Record<string, readonly [address: string, words: string]>> = {
  stations: ["/setup#stations", "Name them on Setup"],
  clocks: ["/log", "How the data fare"],
  rejects: ["/log#rejects", "The lines and why"],
};

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const toDo = data.rounds.filter(({ wantsDoing }) => wantsDoing);
  return (
    <>
      <h1>Rounds</h1>
      <p class="lead">
        {toDo.length === 0 ? (
          "Nothing wants doing this month."
        ) : (
          <>
            <Key>{counted(visit.reader, toDo.length, "thing")}</Key> of {visit.reader.count(data.rounds.length)} to look after
            this month.
          </>
        )}{" "}
        The figures are of the last 31 days up to the end of the log.
      </p>
      {[...toDo, ...data.rounds.filter(({ wantsDoing }) => !wantsDoing)].map((round) => (
        <Entry key={round.id} name={round.name} id={`round-${round.id}`}>
          <p>
            <strong>{round.wantsDoing ? "To do:" : "Fine:"}</strong> {round.says}{" "}
            {round.wantsDoing && doors[round.id] ? <a href={doors[round.id]![0]}>{doors[round.id]![1]}</a> : null}
          </p>
          {round.details.length ? (
            <ul class="notes">
              {round.details.map((text) => (
                <li key={text}>{text}</li>
              ))}
            </ul>
          ) : null}
        </Entry>
      ))}
    </>
  );
}
