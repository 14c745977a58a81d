// Service: every task, most urgent first; and one machine's, which its printed code opens.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Entry, Key } from "../leaves/entry.tsx";
import { leaf, type Visit } from "../leaves/leaf.ts";
import { counted, type Reader } from "../words/reader.ts";
import type { DueTask, NoteRow, OutageRow, ServiceRow } from "./answers.ts";
import { browserQueue, useOffline, useQueue } from "./browser-queue.ts";
import { TaskCard } from "./task-card.tsx";

interface Data {
  machine: { id: string; name: string } | null;
  tasks: DueTask[];
  outages: OutageRow[];
  notes: NoteRow[];
  services: ServiceRow[];
}

export const service = leaf<Data>({
  id: "service",
  path: "/service",
  entry: "Service",
  need: "see-service",
  readsLog: false,
  hasPeriod: false,
  title: () => "Service",
  async load({ ask }) {
    const [{ tasks }, { outages }, { notes }] = await Promise.all([
      ask("due"),
      ask("outage list"),
      ask("note list", { open: "true" }),
    ]);
    return { machine: null, tasks, outages: outages.filter(({ until }) => until === null), notes, services: [] };
  },
  View,
});

export const serviceOfMachine = leaf<Data>({
  id: "service-machine",
  path: "/service/:machine",
  need: "see-service",
  readsLog: false,
  hasPeriod: false,
  title: (_visit, { machine }) => `Service of ${machine?.name ?? ""}`,
  async load({ ask }, { params }) {
    const of = { machine: params.machine ?? "" };
    const [{ tasks }, { outages }, { notes }, { services }] = await Promise.all([
      ask("due", of),
      ask("outage list", of),
      ask("note list", { ...of, open: "true" }),
      ask("service list", of),
    ]);
    const first = tasks[0];
    if (first === undefined) return null;
    return {
      machine: { id: first.machine, name: first.machineName },
      tasks,
      outages: outages.filter(({ until }) => until === null),
      notes,
      services: services.slice(-10).reverse(),
    };
  },
  View,
});

const groups = [
  ["Now", ["overdue", "now"]],
  ["Soon", ["soon"]],
  ["Not known", ["unknown"]],
  ["Later", ["later"]],
] as const;

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, may } = visit;
  const { machine, tasks, outages, notes, services } = data;
  const { waiting, arrived } = useQueue();
  useOffline();
  const mayTick = may.includes("do-service");
  const urgent = tasks.filter(({ state }) => state === "overdue" || state === "now").length;
  return (
    <>
      <h1>{machine ? `Service of ${machine.name}` : "Service"}</h1>
      <p class="lead">
        <Key>{counted(reader, urgent, "task")}</Key> of {reader.count(tasks.length)} {urgent === 1 ? "is" : "are"} due now.
        {waiting.length ? ` ${counted(reader, waiting.length, "entry", "entries")} on this phone not with the server yet.` : ""}
      </p>
      <p class="caution">
        Isolate the machine and lock out its energy source at the isolator, wait for run-down, test that it is dead. A badge
        holder or a stop button is no isolator. The maker's manual and your local codes win.
      </p>
      {machine ? (
        <p>
          <a class="quiet" href={`/service/${encodeURIComponent(machine.id)}/sheet`}>
            Work sheet to print
          </a>{" "}
          <a class="quiet" href="/service">
            All machines
          </a>
        </p>
      ) : (
        <p>
          <a class="quiet" href="/codes">
            Codes to print, one for each machine
          </a>
        </p>
      )}
      <Outages outages={outages} machine={machine} mayTick={mayTick} reader={reader} />
      {groups.map(([name, states]) => {
        const own = tasks.filter(({ state }) => (states as readonly string[]).includes(state));
        return own.length === 0 ? null : (
          <Entry name={name} id={`tasks-${name.toLowerCase().replace(" ", "-")}`} key={name}>
            <ul class="tasks">
              {own.map((task) => (
                <TaskCard
                  key={`${task.machine} ${task.part} ${task.task}`}
                  task={task}
                  reader={reader}
                  mayTick={mayTick}
                  showsMachine={machine === null}
                  waiting={waiting}
                  arrived={arrived}
                />
              ))}
            </ul>
          </Entry>
        );
      })}
      <Said notes={notes} machine={machine} reader={reader} />
      {services.length ? (
        <Entry name="Done" id="done">
          <ul class="done">
            {services.map((row) => (
              <li key={row.id}>
                {reader.day(row.time.slice(0, 10))}
                {row.timeUntil ? ` to ${reader.day(row.timeUntil.slice(0, 10))}` : ""}: {row.part}, {row.task}, found {row.found}
                {row.by ? `, ${row.by}` : ""}
                {row.undone ? " (undone)" : row.correctedBy ? ` (corrected by record ${row.correctedBy})` : ""}
              </li>
            ))}
          </ul>
        </Entry>
      ) : null}
    </>
  );
}

async function post(path: string, body: unknown): Promise<string | null> {
  try {
    const response = await fetch(`/api/v1/${path}`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    return response.ok ? null : `the server answered with ${response.status}`;
  } catch {
    return "the server can't be reached";
  }
}

function Outages({
  outages,
  machine,
  mayTick,
  reader,
}: {
  outages: OutageRow[];
  machine: Data["machine"];
  mayTick: boolean;
  reader: Reader;
}): JSX.Element | null {
  const [problem, setProblem] = useState<string | null>(null);
  const [reason, setReason] = useState("");
  if (outages.length === 0 && (machine === null || !mayTick)) return null;
  return (
    <Entry name="Out of order" id="outages">
      {outages.map(({ id, machine: out, from, reason: why, by, source }) => (
        <p key={id}>
          <strong>{out}</strong> is tagged out since {reader.day(from.slice(0, 10))}
          {why ? `: ${why}` : ""}
          {by ? ` (${by})` : ""}.{" "}
          {mayTick && source === "bench" ? (
            <button type="button" onClick={() => void post(`outage/${encodeURIComponent(id)}/end`, {}).then(setProblem)}>
              Back in order
            </button>
          ) : null}
        </p>
      ))}
      {machine && mayTick && outages.length === 0 ? (
        <form
          class="typed"
          onSubmit={(event) => {
            event.preventDefault();
            const queue = browserQueue();
            queue.add({
              about: `outage ${machine.id}`,
              path: "outage",
              body: { machine: machine.id, from: new Date().toISOString(), ...(reason ? { reason } : {}) },
            });
            setReason("");
            void queue.flush();
          }}
        >
          <p class="field">
            <label>
              Why it is out of order
              <input value={reason} autocomplete="off" onInput={(event) => setReason((event.target as HTMLInputElement).value)} />
            </label>
          </p>
          <p class="buttons">
            <button type="submit">Tag out</button>
          </p>
        </form>
      ) : null}
      {problem ? <p class="problem">{problem}</p> : null}
    </Entry>
  );
}

function Said({ notes, machine, reader }: { notes: NoteRow[]; machine: Data["machine"]; reader: Reader }): JSX.Element | null {
  const [text, setText] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  if (notes.length === 0 && machine === null) return null;
  return (
    <Entry name="Said of it" id="said">
      {notes.map((note) => (
        <p key={note.id}>
          <q>{note.text}</q>, {note.machine}, {reader.day(note.time.slice(0, 10))}
          {note.by ? `, ${note.by}` : ""}.{" "}
          <button type="button" onClick={() => void post(`note/${note.id}/close`, {}).then(setProblem)}>
            Looked at
          </button>
        </p>
      ))}
      {problem ? <p class="problem">{problem}</p> : null}
      {machine ? (
        <form
          class="typed"
          onSubmit={(event) => {
            event.preventDefault();
            if (text.trim() === "") return;
            const queue = browserQueue();
            queue.add({ about: `note ${machine.id}`, path: "note", body: { machine: machine.id, text } });
            setText("");
            void queue.flush();
          }}
        >
          <p class="field">
            <label>
              Something is wrong: it's dull, it rattles
              <input value={text} autocomplete="off" onInput={(event) => setText((event.target as HTMLInputElement).value)} />
            </label>
          </p>
          <p class="buttons">
            <button type="submit">Say so</button>
          </p>
        </form>
      ) : null}
    </Entry>
  );
}
