// A work sheet to print: a machine's tasks with their cautions, and blanks to fill in by hand.
import type { JSX } from "preact";
import { leaf, type Visit } from "../leaves/leaf.ts";
import type { DueTask } from "./answers.ts";
import { dueWords, usedWords } from "./words.ts";

interface Data {
  tasks: DueTask[];
}

export const sheet = leaf<Data>({
  id: "service-sheet",
  path: "/service/:machine/sheet",
  need: "see-service",
  readsLog: false,
  hasPeriod: false,
  title: (_visit, { tasks }) => `Work sheet, ${tasks[0]?.machineName ?? ""}`,
  async load({ ask }, { params }) {
    const { tasks } = await ask("due", { machine: params.machine ?? "" });
    return tasks.length === 0 ? null : { tasks };
  },
  View,
});

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader, calendar } = visit;
  return (
    <>
      <h1>Work sheet, {data.tasks[0]?.machineName}</h1>
      <p class="lead">As of {reader.day(calendar.today)}. What is written here by hand is entered afterwards under Service.</p>
      {data.tasks.map((task) => (
        <section class="sheet-task" key={`${task.part} ${task.task}`}>
          <h2>
            {task.partName}: {task.taskName}
          </h2>
          <p>
            {usedWords(task, reader)}; {dueWords(task, reader)}.
          </p>
          <ol class="sheet-cautions">
            {task.cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ol>
          <dl class="blanks">
            <Blank name="Isolated and locked out by, proved dead at" />
            <Blank name="Done on (day, time)" />
            <Blank name="As found: good · worn · failed · damaged · nobody looked" />
            <Blank name="Hour meter" />
            {task.reading ? <Blank name={`${task.reading.name}${task.reading.unit ? `, ${task.reading.unit}` : ""}`} /> : null}
            <Blank name="Cost" />
            <Blank name="Note" />
            <Blank name="Done by" />
          </dl>
        </section>
      ))}
    </>
  );
}

const Blank = ({ name }: { name: string }): JSX.Element => (
  <div>
    <dt>{name}</dt>
    <dd />
  </div>
);
