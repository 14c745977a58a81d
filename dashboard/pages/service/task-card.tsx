// One task: what is used of it, when it is due, and its tick. One tap says how it was found and records it; nothing is preset.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Reader } from "../words/reader.ts";
import type { DueTask } from "./answers.ts";
import { browserQueue } from "./browser-queue.ts";
import type { Arrived, Waiting } from "./queue.ts";
import { dueWords, stateWords, usedWords } from "./words.ts";

const found = [
  ["good", "good"],
  ["worn", "worn"],
  ["failed", "failed"],
  ["damaged", "damaged"],
  ["unknown", "nobody looked"],
] as const;

export const aboutOf = ({ machine, part, task }: DueTask): string => `${machine} ${part} ${task}`;

interface CardProps {
  task: DueTask;
  reader: Reader;
  mayTick: boolean;
  showsMachine: boolean;
  waiting: readonly Waiting[];
  arrived: readonly Arrived[];
}

export function TaskCard({ task, reader, mayTick, showsMachine, waiting, arrived }: CardProps): JSX.Element {
  const about = aboutOf(task);
  const own = waiting.filter((entry) => entry.about === about);
  const last = arrived.find((entry) => entry.about === about);
  const name = `${showsMachine ? `${task.machineName}, ` : ""}${task.partName}: ${task.taskName}`;
  return (
    <li class={`task task-${task.state}`} data-about={about}>
      <h3>{showsMachine ? <a href={`/service/${encodeURIComponent(task.machine)}`}>{name}</a> : name}</h3>
      <p>
        <strong>{stateWords[task.state]}</strong>
        {": "}
        {usedWords(task, reader)}; {dueWords(task, reader)}.
        {task.atMost === null ? null : ` Done ${reader.count(task.timesDone)} of at most ${reader.count(task.atMost)} times.`}
      </p>
      {task.notes.map((note) => (
        <p class="note" key={note}>
          {note}
        </p>
      ))}
      <details class="cautions">
        <summary>{task.cautions[1]}</summary>
        <ul>
          {task.cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      </details>
      {mayTick ? <Tick task={task} name={name} /> : null}
      <div role="status">
        {own.map((entry) => (
          <Kept key={entry.key} entry={entry} />
        ))}
        {last && own.length === 0 ? <Done last={last} /> : null}
      </div>
    </li>
  );
}

function Tick({ task, name }: { task: DueTask; name: string }): JSX.Element {
  const [facts, setFacts] = useState<Record<string, string>>({});
  const tick = (as: string): void => {
    const { reading = "", time = "", until = "", ...others } = facts;
    const typed = Object.fromEntries(
      Object.entries(others)
        .filter(([, value]) => value.trim() !== "")
        .map(([name, value]) => [name, name === "meter" || name === "cost" ? value.replace(",", ".") : value]),
    );
    const queue = browserQueue();
    queue.add({
      about: aboutOf(task),
      path: "service",
      body: {
        machine: task.machine,
        part: task.part,
        task: task.task,
        found: as,
        // The moment of the tap, also where it is sent hours later.
        time: time === "" ? new Date().toISOString() : time,
        ...(until === "" ? {} : { until }),
        ...(reading.trim() === "" || !task.reading ? {} : { reading: [`${task.reading.name}=${reading}`] }),
        ...typed,
      },
    });
    setFacts({});
    void queue.flush();
  };
  const field = (id: string, label: string, props: JSX.IntrinsicElements["input"] = {}) => (
    <p class="field">
      <label>
        {label}
        <input
          {...props}
          value={facts[id] ?? ""}
          onInput={(event) => setFacts((before) => ({ ...before, [id]: (event.target as HTMLInputElement).value }))}
        />
      </label>
    </p>
  );
  return (
    <div class="tick">
      <details class="facts-typed">
        <summary>Another time, meter, note</summary>
        <div class="figures typed">
          {field("time", "Done at, or the earliest it may have been", { type: "datetime-local" })}
          {field("until", "The latest it may have been, if that is all you know", { type: "datetime-local" })}
          {field("meter", "Hour meter", { inputMode: "decimal" })}
          {task.reading
            ? field("reading", `${task.reading.name}${task.reading.unit ? ` in ${task.reading.unit}` : ""}`, {
                inputMode: "decimal",
              })
            : null}
          {field("cost", "Cost", { inputMode: "decimal" })}
          {field("by", "Who did it", { autocomplete: "off" })}
          {field("note", "Note", { autocomplete: "off" })}
        </div>
      </details>
      <fieldset class="found">
        <legend>
          Done. <span class="unseen">{name}. </span>As found:
        </legend>
        {found.map(([word, said]) => (
          <button type="button" key={word} onClick={() => tick(word)}>
            {said}
          </button>
        ))}
      </fieldset>
    </div>
  );
}

function Kept({ entry }: { entry: Waiting }): JSX.Element {
  const queue = browserQueue();
  if (entry.refused === null) {
    return (
      <p class="kept">
        Kept on this phone until the server has it: found {String(entry.body.found)}.{" "}
        <button type="button" onClick={() => queue.drop(entry.key)}>
          Take back
        </button>
      </p>
    );
  }
  return (
    <p class="problem">
      Not recorded: {entry.refused}.{" "}
      {entry.isMet ? (
        <button
          type="button"
          onClick={() => {
            queue.again(entry.key);
            void queue.flush();
          }}
        >
          It was done twice
        </button>
      ) : null}{" "}
      <button type="button" onClick={() => queue.drop(entry.key)}>
        All right
      </button>
    </p>
  );
}

export function Done({ last }: { last: Arrived }): JSX.Element {
  const [state, setState] = useState<"recorded" | "undone" | string>("recorded");
  const [row] = (last.answer.services ?? []) as { id: number; found: string }[];
  if (row === undefined) return <p class="kept">Recorded.</p>;
  const undo = async (): Promise<void> => {
    try {
      const response = await fetch(`/api/v1/service/${row.id}/undo`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: "{}",
      });
      setState(response.ok ? "undone" : `not undone: the server answered with ${response.status}`);
    } catch {
      setState("not undone: the server can't be reached; try again when it can");
    }
  };
  return (
    <p class="kept">
      {state === "undone" ? `Record ${row.id} is undone.` : `Recorded: found ${row.found}.`}{" "}
      {state === "recorded" ? null : state === "undone" ? null : state}{" "}
      {state === "undone" ? null : (
        <button type="button" onClick={() => void undo()}>
          Undo
        </button>
      )}
    </p>
  );
}
