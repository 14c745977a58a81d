// One machine of the workshop file: where it stands, its stations over time, and what of it wears.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Entry } from "../leaves/entry.tsx";
import { leaf, type Visit } from "../leaves/leaf.ts";
import type { Edit, SetupShown, UsualTask, Words } from "./answers.ts";
import { Choice, Field, Lines, typedIn } from "./field.tsx";
import { Proposal, type Proposing, useProposal } from "./proposal.tsx";
import { nameOfMachine } from "./setup.tsx";
import {
  editOf,
  everyWords,
  idFrom,
  listIn,
  numberTyped,
  stationsText,
  stationsTyped,
  textIn,
  unitWords,
} from "./words-of-file.ts";

interface Data {
  shown: SetupShown;
  at: number;
}

export const setupOfMachine = leaf<Data>({
  id: "setup-machine",
  path: "/setup/:machine",
  need: "do-setup",
  readsLog: false,
  hasPeriod: false,
  goesWithoutWorkshop: true,
  title: (_visit, { shown, at }) => `Setup of ${nameOfMachine(listIn(shown.words, "machines")[at] ?? {})}`,
  async load({ ask }, { params }) {
    const shown = await ask("setup show");
    const at = listIn(shown.words, "machines").findIndex((machine) => textIn(machine, "id") === params.machine);
    return at < 0 ? null : { shown, at };
  },
  View,
});

function View({ data }: { data: Data; visit: Visit }): JSX.Element {
  const { shown, at } = data;
  const machine = listIn(shown.words, "machines")[at]!;
  const proposing = useProposal(shown.mark);
  const name = nameOfMachine(machine);
  return (
    <>
      <h1>Setup of {name}</h1>
      <p>
        <a class="quiet" href="/setup">
          Back to Setup
        </a>
      </p>
      <Proposal proposing={proposing} file={shown.file} />
      <Entry name="The machine" id="machine">
        <About key={shown.mark} machine={machine} shown={shown} place={["machines", at]} proposing={proposing} />
      </Entry>
      <Entry name="What wears" id="parts">
        <Parts key={shown.mark} machine={machine} shown={shown} place={["machines", at]} proposing={proposing} />
      </Entry>
    </>
  );
}

interface PieceProps {
  machine: Words;
  shown: SetupShown;
  place: (string | number)[];
  proposing: Proposing;
}

const plainFields = [
  ["name", "Name", "", false],
  ["group", "Group", "machines of one group can stand in for one another", false],
  ["price", "Price of another one", "", true],
  ["life_years", "Years it lasts", "15 where not given", true],
  ["run_factor", "Run factor", "run-hours in an hour of badge time, until the log tells", true],
  ["from", "There since", "a date like 2023-05-01", false],
  ["until", "Gone since", "its last day", false],
] as const;

function About({ machine, shown, place, proposing }: PieceProps): JSX.Element {
  const rooms = listIn(shown.words, "rooms");
  const hasStations = Array.isArray(machine.stations);
  const isPlain = (key: string): boolean => typeof machine[key] !== "object" || machine[key] === null;
  return (
    <form
      class="typed figures"
      onSubmit={(event) => {
        const typed = typedIn(event);
        const stations = typed("stations").replace(/\r\n/g, "\n");
        const edits: Edit[] = [
          ...plainFields.flatMap(([key, , , isNumber]) =>
            isPlain(key) ? editOf([...place, key], typed(key), textIn(machine, key), isNumber ? numberTyped : undefined) : [],
          ),
          ...["room", "hazard", "alone"].flatMap((key) => editOf([...place, key], typed(key), textIn(machine, key))),
          ...(hasStations ? editOf([...place, "stations"], stations, stationsText(machine), stationsTyped) : []),
        ];
        void proposing.propose({ edits });
      }}
    >
      {plainFields
        .filter(([key]) => isPlain(key))
        .map(([key, label, hint, isNumber]) => (
          <Field
            key={key}
            name={key}
            label={label}
            hint={hint}
            value={textIn(machine, key)}
            {...(isNumber ? { inputMode: "decimal" as const } : {})}
          />
        ))}
      <Choice
        name="room"
        label="Room"
        value={textIn(machine, "room")}
        options={[
          ["", "not given"],
          ...rooms.map((room) => [textIn(room, "id"), textIn(room, "name") || textIn(room, "id")] as const),
        ]}
      />
      <Choice
        name="hazard"
        label="Hazard"
        value={textIn(machine, "hazard")}
        options={[
          ["", "not given: medium"],
          ["high", "high"],
          ["medium", "medium"],
          ["low", "low"],
        ]}
      />
      <Choice
        name="alone"
        label="With nobody else about"
        value={textIn(machine, "alone")}
        options={[
          ["", "not given: goes by the hazard"],
          ["never", "never"],
          ["ask", "ask first"],
          ["fine", "fine"],
        ]}
      />
      {hasStations ? (
        <Lines
          name="stations"
          label="Stations"
          hint="one a line: 21 from 2023-05-01 until 2025-03-01; until is the day the next one begins"
          value={stationsText(machine)}
          rows={3}
        />
      ) : null}
      <p class="buttons">
        <button type="submit">Look it over</button>
      </p>
    </form>
  );
}

function Parts({ machine, shown, place, proposing }: PieceProps): JSX.Element {
  const parts = listIn(machine, "parts");
  return (
    <>
      <p class="caution">
        Isolate the machine and lock out its energy source at the isolator, wait for run-down, test that it is dead. Intervals
        proposed here are common practice, not the maker's word: the machine's manual wins.
      </p>
      {parts.map((part, at) => (
        <div class="part" key={textIn(part, "id")}>
          <h3>{textIn(part, "name") || textIn(part, "id")}</h3>
          <p>
            {textIn(part, "class") ? `A ${textIn(part, "class")}. ` : ""}
            {textIn(part, "fitted") ? `Fitted ${textIn(part, "fitted")}. ` : "When it was fitted is not said. "}
          </p>
          <ul class="notes">
            {listIn(part, "tasks").map((task, number) => (
              <Task key={textIn(task, "id")} task={task} place={[...place, "parts", at, "tasks", number]} proposing={proposing} />
            ))}
          </ul>
          <p class="buttons">
            <button type="button" onClick={() => void proposing.propose({ edits: [{ path: [...place, "parts", at] }] })}>
              Take away {textIn(part, "name") || textIn(part, "id")}
            </button>
          </p>
        </div>
      ))}
      <AddPart machine={machine} shown={shown} place={place} proposing={proposing} />
    </>
  );
}

/** A task with the limits of its interval, each to be changed. */
function Task({ task, place, proposing }: { task: Words; place: (string | number)[]; proposing: Proposing }): JSX.Element {
  const every = Object.entries((task.every ?? {}) as Record<string, unknown>);
  return (
    <li>
      {textIn(task, "id")}, {everyWords(task)}
      {every.length ? (
        <details>
          <summary aria-label={`Change the interval of ${textIn(task, "id")}`}>Change</summary>
          <form
            class="typed figures"
            onSubmit={(event) => {
              const typed = typedIn(event);
              const edits = every.flatMap(([unit, before]) =>
                editOf([...place, "every", unit], typed(unit), String(before), numberTyped),
              );
              void proposing.propose({ edits });
            }}
          >
            {every.map(([unit, amount]) => (
              <Field
                key={unit}
                name={unit}
                label={`Every so many ${unitWords[unit] ?? unit}`}
                value={String(amount)}
                inputMode="decimal"
              />
            ))}
            <p class="buttons">
              <button type="submit">Look it over</button>
            </p>
          </form>
        </details>
      ) : null}
    </li>
  );
}

const isFor = (machine: Words, task: UsualTask): boolean =>
  machine.driven_by !== undefined || (task.every?.load_hours === undefined && task.first_after?.load_hours === undefined);

function AddPart({ machine, shown, place, proposing }: PieceProps): JSX.Element {
  const [chosen, setChosen] = useState("");
  const parts = listIn(machine, "parts");
  const usual = (shown.classes.find(({ class: name }) => name === chosen)?.tasks ?? []).filter((task) => isFor(machine, task));
  return (
    <form
      class="typed"
      onSubmit={(event) => {
        const data = new FormData(event.currentTarget);
        const typed = typedIn(event);
        const wanted = new Set(data.getAll("task"));
        const tasks = usual
          .filter(({ id }) => wanted.has(id))
          .map((task) => ({
            ...task,
            ...(task.every
              ? {
                  every: Object.fromEntries(
                    Object.entries(task.every).map(([unit]) => [unit, numberTyped(typed(`${task.id} ${unit}`))]),
                  ),
                }
              : {}),
            ...(Array.isArray(task.resets) ? { resets: task.resets.filter((id) => wanted.has(String(id))) } : {}),
          }));
        const name = typed("name") || chosen;
        const id = idFrom(name, new Set(parts.map((part) => textIn(part, "id"))));
        const value = {
          id,
          ...(name === id ? {} : { name }),
          class: chosen,
          ...(typed("fitted") ? { fitted: typed("fitted") } : {}),
          tasks,
        };
        void proposing.propose({ edits: [{ path: [...place, "parts", parts.length], value }] });
      }}
    >
      <p class="field">
        <label>
          Add a part: what kind is it?
          <select value={chosen} onChange={(event) => setChosen(event.currentTarget.value)}>
            <option value="">choose</option>
            {shown.classes.map(({ class: name }) => (
              <option key={name} value={name}>
                {name.replaceAll("-", " ")}
              </option>
            ))}
          </select>
        </label>
      </p>
      {chosen ? (
        <>
          <div class="figures">
            <Field name="name" label="What you call it" hint={`else ${chosen.replaceAll("-", " ")}`} />
            <Field name="fitted" label="Fitted on" hint="if you know" type="date" />
          </div>
          <fieldset key={chosen}>
            <legend>What is usually done to it; change what your manual says otherwise</legend>
            {usual.map((task) => (
              <div class="usual" key={task.id}>
                <label>
                  <input type="checkbox" name="task" value={task.id} defaultChecked /> {task.id}
                </label>
                {Object.entries(task.every ?? {}).map(([unit, amount]) => (
                  <label key={unit}>
                    every{" "}
                    <input
                      class="short"
                      name={`${task.id} ${unit}`}
                      defaultValue={String(amount)}
                      inputMode="decimal"
                      aria-label={`${task.id} every so many ${unitWords[unit] ?? unit}`}
                    />{" "}
                    {unitWords[unit] ?? unit}
                  </label>
                ))}
                <small>{task.source ? `after ${task.source}` : "common practice"}</small>
              </div>
            ))}
          </fieldset>
          <p class="buttons">
            <button type="submit">Look it over</button>
          </p>
        </>
      ) : null}
    </form>
  );
}
