// Setup: from a dropped log to a workshop file that its owner can read; every change looked over, shown, written, kept.
import type { JSX } from "preact";
import { unlessRefused } from "../ask/ask.ts";
import { Wide } from "../frame/wide.tsx";
import { Entry, Key } from "../leaves/entry.tsx";
import { leaf, type Visit } from "../leaves/leaf.ts";
import { counted } from "../words/reader.ts";
import { Accounts } from "./accounts.tsx";
import type { AccountRow, SetupShown, TokenRow, Words } from "./answers.ts";
import { Choice, Field, Lines, typedIn } from "./field.tsx";
import { Hours } from "./hours.tsx";
import { LogDrop } from "./log-drop.tsx";
import { Problems, Proposal, useProposal } from "./proposal.tsx";
import { Stations } from "./stations.tsx";
import { editOf, idFrom, listIn, numberTyped, textIn } from "./words-of-file.ts";

interface Data {
  shown: SetupShown;
  accounts: AccountRow[] | null;
  tokens: TokenRow[] | null;
}

export const setup = leaf<Data>({
  id: "setup",
  path: "/setup",
  entry: "Setup",
  need: "do-setup",
  readsLog: false,
  hasPeriod: false,
  goesWithoutWorkshop: true,
  title: () => "Setup",
  async load({ ask }) {
    const [shown, accounts, tokens] = await Promise.all([
      ask("setup show"),
      unlessRefused(ask("account list")),
      unlessRefused(ask("token list")),
    ]);
    return { shown, accounts: accounts?.accounts ?? null, tokens: tokens?.tokens ?? null };
  },
  View,
});

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { shown, accounts, tokens } = data;
  const { state, words } = shown;
  const machines = listIn(words, "machines");
  return (
    <>
      <h1>Setup</h1>
      <p>
        <a class="quiet" href="/rounds">
          Rounds: the steward's month on one page
        </a>
      </p>
      <Guide shown={shown} machines={machines} visit={visit} />
      {state === "faulty" ? (
        <Entry name="To be mended" id="problems">
          <p>
            {shown.file} has {counted(visit.reader, shown.problems.length, "problem")}, so the other leaves can't be made. Mend{" "}
            {shown.problems.length === 1 ? "it" : "them"} in the file below, or put an earlier version back.
          </p>
          <Problems problems={shown.problems} />
        </Entry>
      ) : (
        <Entry name="A log" id="a-log">
          <LogDrop isFirst={state === "none"} reader={visit.reader} />
          <p class="note">
            The log is read on this computer and goes nowhere else. Reading the same lines twice changes nothing. For more than
            256 MiB use <code>almanac ingest</code>.
          </p>
        </Entry>
      )}
      {state === "sound" ? (
        <>
          {shown.stations.length ? (
            <Entry name="Stations without a machine" id="stations">
              <Stations key={shown.mark} shown={shown} machines={machines} reader={visit.reader} />
            </Entry>
          ) : null}
          <Entry name="Machines" id="machines" chief={{ figure: visit.reader.count(machines.length), unit: "in the file" }}>
            <Machines machines={machines} />
            <AddMachine key={shown.mark} shown={shown} machines={machines} />
          </Entry>
          <Entry name="Opening hours" id="hours">
            <Hours key={shown.mark} shown={shown} />
          </Entry>
          <Entry name="The workshop" id="workshop">
            <Workshop key={shown.mark} shown={shown} />
          </Entry>
        </>
      ) : null}
      {state === "none" ? null : (
        <>
          <Entry name="The file" id="file">
            <WholeFile key={shown.mark} shown={shown} />
          </Entry>
          <Entry name="Earlier versions" id="versions">
            <Versions key={shown.mark} shown={shown} visit={visit} />
          </Entry>
        </>
      )}
      {accounts === null ? null : (
        <Entry name="Who may come in" id="accounts">
          <Accounts accounts={accounts} tokens={tokens ?? []} visit={visit} />
        </Entry>
      )}
    </>
  );
}

/** What comes next, in one sentence. */
function Guide({ shown, machines, visit }: { shown: SetupShown; machines: readonly Words[]; visit: Visit }): JSX.Element {
  const { state, stations, words } = shown;
  const { reader, calendar } = visit;
  if (state === "none")
    return (
      <p class="lead">
        There is no workshop file yet. <Key>Drop the log of your badge stations</Key>: you see how it would be read, say what it
        can't tell, and a file <code>{shown.file}</code> that you can read is written in <code>{shown.folder}</code>. Then come
        the machines, the opening hours and what wears.
      </p>
    );
  if (state === "faulty") return <p class="lead">The workshop file needs mending before the almanac can go on.</p>;
  const hasHours = textIn(words, "hours") !== "" || (words?.hours !== undefined && words.hours !== null);
  const bare = machines.filter((machine) => listIn(machine, "parts").length === 0);
  if (stations.length && machines.length === 0)
    return (
      <p class="lead">
        Next: <a href="#stations">name what stands behind {counted(reader, stations.length, "station")}</a> of the log.
      </p>
    );
  if (machines.length === 0 && calendar.lastDay === null)
    return (
      <p class="lead">
        Next: <a href="#a-log">drop a log</a>, so that its stations are known, or add a machine by hand.
      </p>
    );
  if (!hasHours)
    return (
      <p class="lead">
        Next: <a href="#hours">say when the workshop is open</a>. Without it every hour counts as open.
      </p>
    );
  if (bare.length)
    return (
      <p class="lead">
        Next: say what wears. {counted(reader, bare.length, "machine")} {bare.length === 1 ? "has" : "have"} no part yet, so
        nothing of {bare.length === 1 ? "it" : "them"} comes due. Begin with{" "}
        <a href={`/setup/${encodeURIComponent(textIn(bare[0], "id"))}`}>{nameOfMachine(bare[0]!)}</a>.
      </p>
    );
  if (stations.length)
    return (
      <p class="lead">
        Left: <a href="#stations">name what stands behind {counted(reader, stations.length, "station")}</a> of the log.
      </p>
    );
  return (
    <p class="lead">
      The file <code>{shown.file}</code> is sound. Every change here is looked over first, shown line by line, and can be put
      back.
    </p>
  );
}

export const nameOfMachine = (machine: Words): string => textIn(machine, "name") || textIn(machine, "id");

function Machines({ machines }: { machines: readonly Words[] }): JSX.Element {
  if (machines.length === 0) return <p>None yet.</p>;
  return (
    <Wide name="Machines of the workshop file">
      <table class="numbers machines">
        <thead>
          <tr>
            <th scope="col">Machine</th>
            <th scope="col" class="word spare">
              Room
            </th>
            <th scope="col" class="word">
              Hours by
            </th>
            <th scope="col">Parts</th>
            <th scope="col">Tasks</th>
          </tr>
        </thead>
        <tbody>
          {machines.map((machine) => {
            const parts = listIn(machine, "parts");
            return (
              <tr key={textIn(machine, "id")}>
                <th scope="row">
                  <a href={`/setup/${encodeURIComponent(textIn(machine, "id"))}`}>{nameOfMachine(machine)}</a>
                </th>
                <td class="word spare">{textIn(machine, "room") || "–"}</td>
                <td class="word">{sourceWords(machine)}</td>
                <td>{parts.length}</td>
                <td>{parts.reduce((sum, part) => sum + listIn(part, "tasks").length, 0)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </Wide>
  );
}

function sourceWords(machine: Words): string {
  if (Array.isArray(machine.stations)) return "its stations";
  if (machine.driven_by) return "its drivers";
  return machine.always_on === true ? "always on" : "its meter";
}

/** The first problem that a machine of that kind would have is told by the file's check. */
function AddMachine({ shown, machines }: { shown: SetupShown; machines: readonly Words[] }): JSX.Element {
  const proposing = useProposal(shown.mark);
  const taken = new Set(machines.map((machine) => textIn(machine, "id")));
  return (
    <details>
      <summary>Add a machine by hand</summary>
      <form
        class="typed figures"
        onSubmit={(event) => {
          const typed = typedIn(event);
          const drivers = typed("drivers")
            .split(/[\s,]+/)
            .filter(Boolean);
          const how =
            typed("kind") === "driven"
              ? { driven_by: drivers, run_on_seconds: 30 }
              : typed("kind") === "always"
                ? { always_on: true }
                : { stations: [{ station: typed("station") }] };
          const value = { id: idFrom(typed("name"), taken), name: typed("name"), ...how };
          void proposing.propose({ edits: [{ path: ["machines", machines.length], value }] });
        }}
      >
        <Field name="name" label="Name" required />
        <Choice
          name="kind"
          label="Its hours come from"
          options={[
            ["station", "a station of its own"],
            ["driven", "the machines that drive it, like a dust collector"],
            ["always", "nothing: it is always on"],
          ]}
        />
        <Field name="station" label="Station" hint="as the log writes it" />
        <Field name="drivers" label="Driven by" hint={`ids like ${[...taken].slice(0, 2).join(", ") || "planer"}`} />
        <p class="buttons">
          <button type="submit">Look it over</button>
        </p>
      </form>
      <Proposal proposing={proposing} file={shown.file} />
    </details>
  );
}

function Workshop({ shown }: { shown: SetupShown }): JSX.Element {
  const proposing = useProposal(shown.mark);
  const { words } = shown;
  const rooms = listIn(words, "rooms");
  const of = (key: string): string => textIn(words, "workshop", key);
  const roomsText = rooms.map((room) => [textIn(room, "id"), textIn(room, "name")].filter(Boolean).join(" = ")).join("\n");
  return (
    <>
      <form
        class="typed figures"
        onSubmit={(event) => {
          const typed = typedIn(event);
          const edits = [
            ...editOf(["workshop", "name"], typed("name"), of("name")),
            ...editOf(["workshop", "zone"], typed("zone"), of("zone")),
            ...editOf(["workshop", "currency"], typed("currency").toUpperCase(), of("currency")),
            ...editOf(["workshop", "address_bits"], typed("bits"), of("address_bits"), numberTyped),
            ...editOf(["rooms"], typed("rooms").replace(/\r\n/g, "\n"), roomsText, (text) =>
              text
                .split("\n")
                .filter((line) => line.trim())
                .map((line) => {
                  const [id = "", ...name] = line.split("=").map((part) => part.trim());
                  return name.length ? { id, name: name.join("=") } : { id };
                }),
            ),
          ];
          void proposing.propose({ edits });
        }}
      >
        <Field name="name" label="Name" value={of("name")} required />
        <Field name="zone" label="Time zone" value={of("zone")} required />
        <Field name="currency" label="Currency" hint="like CAD" value={of("currency")} maxLength={3} />
        <Field
          name="bits"
          label="Jumpers of a station's address"
          hint="if it is set so"
          value={of("address_bits")}
          inputMode="numeric"
        />
        <Lines name="rooms" label="Rooms" hint="one a line: id = name" value={roomsText} />
        <p class="buttons">
          <button type="submit">Look it over</button>
        </p>
      </form>
      <Proposal proposing={proposing} file={shown.file} />
    </>
  );
}

function WholeFile({ shown }: { shown: SetupShown }): JSX.Element {
  const proposing = useProposal(shown.mark);
  return (
    <details open={shown.state === "faulty"}>
      <summary>
        Read or change {shown.file} as a whole, {shown.text.split("\n").length - 1} lines
      </summary>
      <form
        class="typed"
        onSubmit={(event) => {
          event.preventDefault();
          const text = String(new FormData(event.currentTarget).get("text") ?? "").replace(/\r\n/g, "\n");
          void proposing.propose({ text });
        }}
      >
        <Lines name="text" label={shown.file} rows={24} value={shown.text} />
        <p class="buttons">
          <button type="submit">Look it over</button>
        </p>
      </form>
      <Proposal proposing={proposing} file={shown.file} />
    </details>
  );
}

function Versions({ shown, visit }: { shown: SetupShown; visit: Visit }): JSX.Element {
  const proposing = useProposal(shown.mark);
  if (shown.kept.length === 0) return <p>None yet: the first change here keeps what stood before it.</p>;
  const [last] = shown.kept;
  return (
    <>
      <p>
        What {shown.file} was like before each change made here. Putting one back keeps the present one, so that it can be undone
        too.
      </p>
      <p class="buttons">
        <button type="button" onClick={() => void proposing.propose({ version: last!.version })}>
          Undo the last change
        </button>
      </p>
      <Proposal proposing={proposing} file={shown.file} />
      {shown.kept.length > 1 ? (
        <details>
          <summary>All {visit.reader.count(shown.kept.length)}</summary>
          <ul class="versions">
            {shown.kept.map(({ version, until }) => (
              <li key={version}>
                until {visit.reader.utc(until)}{" "}
                <button type="button" onClick={() => void proposing.propose({ version })}>
                  Put this one back
                </button>
              </li>
            ))}
          </ul>
        </details>
      ) : null}
    </>
  );
}
