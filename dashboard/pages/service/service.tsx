// Service: every task, most urgent first; and one machine's, which its printed code opens.
import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { Workings } from "../ask/answers.ts";
import { unlessRefused } from "../ask/ask.ts";
import type { WearPoint } from "../charts/chart.ts";
import { Figure } from "../charts/figure.tsx";
import { Entry, Key } from "../leaves/entry.tsx";
import { leaf, type Visit } from "../leaves/leaf.ts";
import { counted, type Reader } from "../words/reader.ts";
import type { Asking, DueTask, Evening, LifeRow, NoteRow, OutageRow, ServiceRow, ShelfRow } from "./answers.ts";
import { browserQueue, useOffline, useQueue } from "./browser-queue.ts";
import { Lives } from "./life.tsx";
import { post } from "./post.ts";
import type { Arrived, Waiting } from "./queue.ts";
import { Shelf } from "./shelf.tsx";
import { aboutOf, Done, TaskCard } from "./task-card.tsx";
import { wearPoints, wornTask } from "./wear.ts";
import { unitWords } from "./words.ts";

interface Data {
  machine: { id: string; name: string } | null;
  tasks: DueTask[];
  outages: OutageRow[];
  notes: NoteRow[];
  services: ServiceRow[];
  lives: LifeRow[];
  shelf: ShelfRow[];
  asked: Asking | null;
  evenings: Evening[];
  /** The wear line of the most urgent task that goes by run-hours. */
  wear: { task: DueTask; points: WearPoint[] } | null;
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
    const [{ tasks }, { outages }, { notes }, { asked }, { evenings }] = await Promise.all([
      ask("due"),
      ask("outage list"),
      ask("note list", { open: "true" }),
      ask("asking"),
      ask("evenings"),
    ]);
    return {
      machine: null,
      tasks,
      outages: outages.filter(({ until }) => until === null),
      notes,
      services: [],
      lives: [],
      shelf: [],
      asked,
      evenings,
      wear: null,
    };
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
  async load({ ask }, { params, calendar }) {
    const of = { machine: params.machine ?? "" };
    const [{ tasks }, { outages }, { notes }, { services }, { lives }, { shelf }, hours] = await Promise.all([
      ask("due", of),
      ask("outage list", of),
      ask("note list", { ...of, open: "true" }),
      ask("service list", of),
      ask("life", of),
      ask("stock list", of),
      unlessRefused(ask("hours", { ...of, by: "week" })),
    ]);
    const first = tasks[0];
    if (first === undefined) return null;
    const worn = wornTask(tasks);
    const points = worn === null || hours === null ? [] : wearPoints(worn, hours.rows, services, calendar.today);
    return {
      machine: { id: first.machine, name: first.machineName },
      tasks,
      outages: outages.filter(({ until }) => until === null),
      notes,
      services: services.slice(-10).reverse(),
      lives,
      shelf,
      asked: null,
      evenings: [],
      wear: worn === null || points.length === 0 ? null : { task: worn, points },
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

const windowWorkings: Workings = {
  formula: "in each of many possible futures, the day on which use comes to the interval; twenty of them, evenly picked",
  inputs: { "one dot": "one chance in twenty" },
  queries: ["analytics/service/due.ts", "analytics/forecast/future.ts"],
  notes: ["a forecast never replaces an inspection: found dull or badly set, a cutter comes out of service now"],
};
const wearWorkings: Workings = {
  formula: "run-hours since the task was last done, by week; the last stretch ends at today's figure",
  inputs: { "thin lines": "from today's figure to each of the twenty days" },
  queries: ["analytics/hours/hours.ts", "analytics/service/due.ts"],
  notes: ["weeks are shared out evenly over their days"],
};
const mostWindows = 12;

/** While entries arrive, tasks stay where they were: nothing moves under the finger. */
function useHeld(tasks: readonly DueTask[], isHeld: boolean): DueTask[] {
  const held = useRef<{ about: string; state: DueTask["state"] }[]>([]);
  if (!isHeld || held.current.length === 0) held.current = tasks.map((task) => ({ about: aboutOf(task), state: task.state }));
  const byAbout = new Map(tasks.map((task) => [aboutOf(task), task]));
  const known = new Set(held.current.map(({ about }) => about));
  return [
    ...held.current.flatMap(({ about }) => byAbout.get(about) ?? []),
    ...tasks.filter((task) => !known.has(aboutOf(task))),
  ].map((task) => ({ ...task, group: held.current.find(({ about }) => about === aboutOf(task))?.state ?? task.state }));
}

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, may } = visit;
  const { machine, outages, notes, services, lives, shelf, asked, evenings, wear } = data;
  const { waiting, arrived } = useQueue();
  const tasks = useHeld(data.tasks, waiting.length > 0 || arrived.length > 0);
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
          </a>{" "}
          <a class="quiet" href="/spares">
            Shopping list
          </a>
        </p>
      )}
      {asked ? (
        <p class="note">
          The one reading worth having this week: {asked.text}. It would narrow {counted(reader, asked.windows, "window")} by
          about {counted(reader, Math.round(asked.daysNarrower), "day")} in all.
        </p>
      ) : null}
      <Outages outages={outages} machine={machine} mayTick={mayTick} reader={reader} />
      {groups.map(([name, states]) => {
        const own = tasks.filter(({ group, state }) => (states as readonly string[]).includes(group ?? state));
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
      {tasks.some(({ dots }) => dots?.some((day) => day !== null)) ? (
        <Entry name="When" id="when">
          <Figure
            chart="dueDots"
            title={machine ? "When each task falls due" : "When the most urgent tasks fall due"}
            unit="days by the workshop's calendar; each dot is one chance in twenty"
            settings={{ today: visit.calendar.today }}
            rows={tasks
              .filter(({ dots }) => dots?.some((day) => day !== null))
              .slice(0, mostWindows)
              .map(({ machineName, partName, taskName, state, dots, due }) => ({
                name: `${machine ? "" : `${machineName}, `}${partName}: ${taskName}`,
                state,
                dots: dots ?? [],
                ...due,
              }))}
            reader={reader}
            workings={windowWorkings}
          />
          {wear ? (
            <Figure
              chart="wearLine"
              title={`The wear line of ${wear.task.partName}: ${wear.task.taskName}`}
              unit={`${unitWords("hours")} since it was last done; the dashed line is the interval, triangles are services`}
              settings={{ today: visit.calendar.today, unit: unitWords("hours"), interval: wear.task.interval ?? 0 }}
              rows={wear.points}
              reader={reader}
              workings={wearWorkings}
            />
          ) : null}
        </Entry>
      ) : null}
      {evenings.length ? (
        <Entry name="One lock-out" id="evenings">
          {evenings.map(
            ({
              machine: id,
              machineName,
              day,
              tasks: joined,
              isolationsSaved,
              memberHoursSaved,
              displacedHours,
              waiting: parts,
            }) => (
              <p key={id}>
                <strong>{machineName}</strong> on {reader.day(day)}:{" "}
                {joined.map(({ partName, taskName }) => `${partName}, ${taskName}`).join("; ")}. One lock-out instead of{" "}
                {reader.count(isolationsSaved + 1)}, about {reader.hours(memberHoursSaved)} member-hours saved; it displaces about{" "}
                {reader.hours(displacedHours)} run-hours.
                {parts.length ? ` Not there by then: ${parts.join(", ")}.` : ""}
              </p>
            ),
          )}
        </Entry>
      ) : null}
      {lives.length ? (
        <Entry name="How long parts last" id="lives">
          <Lives rows={lives} mayDecide={mayTick} reader={reader} />
        </Entry>
      ) : null}
      {machine && shelf.length ? (
        <Entry name="Shelf" id="shelf">
          <Shelf rows={shelf} mayTick={mayTick} reader={reader} />
        </Entry>
      ) : null}
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
                {mayTick && !row.undone && row.correctedBy === null ? <TakeBack id={row.id} /> : null}
              </li>
            ))}
          </ul>
        </Entry>
      ) : null}
      <Latest arrived={arrived} waiting={waiting} />
    </>
  );
}

/** A record that was a mistake; the line stays, and says so. */
function TakeBack({ id }: { id: number }): JSX.Element {
  const [said, setSaid] = useState<string | null>(null);
  return (
    <>
      {" "}
      <button type="button" onClick={() => void post(`service/${id}/undo`, {}).then((problem) => setSaid(problem ?? "Undone."))}>
        Undo <span class="unseen">record {id}</span>
      </button>{" "}
      <span role="status">{said}</span>
    </>
  );
}

/** What was recorded last, at the foot of the screen, wherever its task stands. */
function Latest({ arrived, waiting }: { arrived: readonly Arrived[]; waiting: readonly Waiting[] }): JSX.Element | null {
  const last = arrived.at(-1);
  const isService = last !== undefined && Array.isArray(last.answer.services);
  if (!isService || waiting.some(({ about }) => about === last.about)) return null;
  return (
    <div class="latest">
      <Done key={JSON.stringify(last.answer.services)} last={last} />
    </div>
  );
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
      <p class="note">
        To tag a machine out here is a note that others can read. It locks nothing: whoever works on it isolates it and locks out
        its energy source.
      </p>
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
