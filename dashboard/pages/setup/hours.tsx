// Opening hours: a week of staffed and member hours, and the days that are different.
import type { JSX } from "preact";
import type { Edit, SetupShown, Words } from "./answers.ts";
import { Choice, Field, typedIn } from "./field.tsx";
import { Proposal, useProposal } from "./proposal.tsx";
import { hoursTyped, listIn, textIn } from "./words-of-file.ts";

const days = [
  ["mon", "Monday"],
  ["tue", "Tuesday"],
  ["wed", "Wednesday"],
  ["thu", "Thursday"],
  ["fri", "Friday"],
  ["sat", "Saturday"],
  ["sun", "Sunday"],
] as const;

const kinds = [
  ["staffed", "Staffed"],
  ["member", "Members only"],
] as const;

function hoursIn(words: Words | null, kind: string, day: string): string {
  const hours = ((words?.hours as Words | undefined)?.[kind] as Words | undefined)?.[day];
  return Array.isArray(hours) ? hours.join(", ") : typeof hours === "string" ? hours : "";
}

export function Hours({ shown }: { shown: SetupShown }): JSX.Element {
  const proposing = useProposal(shown.mark);
  const { words } = shown;
  return (
    <>
      <p>
        Hours like 18:00-22:00, several with a comma between; 18:00-02:00 belongs to its first day. What is neither staffed nor
        for members is closed.
      </p>
      <form
        class="typed"
        onSubmit={(event) => {
          const typed = typedIn(event);
          const edits = kinds.flatMap(([kind]) =>
            days.flatMap(([day]): Edit[] => {
              const [now, before] = [hoursTyped(typed(`${kind} ${day}`)), hoursTyped(hoursIn(words, kind, day))];
              if (now.join() === before.join()) return [];
              const path = ["hours", kind, day];
              return [now.length ? { path, value: now } : { path }];
            }),
          );
          void proposing.propose({ edits });
        }}
      >
        <table class="numbers open-week">
          <thead>
            <tr>
              <th scope="col">Day</th>
              {kinds.map(([kind, name]) => (
                <th scope="col" class="word" key={kind}>
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {days.map(([day, name]) => (
              <tr key={day}>
                <th scope="row">{name}</th>
                {kinds.map(([kind, kindName]) => (
                  <td class="word" key={kind}>
                    <input
                      name={`${kind} ${day}`}
                      aria-label={`${name}, ${kindName.toLowerCase()}`}
                      defaultValue={hoursIn(words, kind, day)}
                      autocomplete="off"
                    />
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
        <p class="buttons">
          <button type="submit">Look it over</button>
        </p>
      </form>
      <Proposal proposing={proposing} file={shown.file} />
      <Exceptions shown={shown} />
    </>
  );
}

const exceptionWords = (exception: Words): string => {
  const day = textIn(exception, "date") || `${textIn(exception, "from")} to ${textIn(exception, "until")}`;
  const spans = (kind: string): string =>
    Array.isArray(exception[kind]) ? (exception[kind] as unknown[]).join(", ") : textIn(exception, kind);
  const what = kinds.flatMap(([kind, name]) => (spans(kind) ? [`${name.toLowerCase()} ${spans(kind)}`] : [])).join("; ");
  return `${day}: ${what || "closed"}${textIn(exception, "reason") ? ` (${textIn(exception, "reason")})` : ""}`;
};

function Exceptions({ shown }: { shown: SetupShown }): JSX.Element {
  const proposing = useProposal(shown.mark);
  const exceptions = listIn(shown.words?.hours, "exceptions");
  return (
    <details>
      <summary>
        {exceptions.length === 0 ? "Days that are different: none yet" : `Days that are different: ${exceptions.length}`}
      </summary>
      <ul class="versions">
        {exceptions.map((exception, at) => (
          <li key={exceptionWords(exception)}>
            {exceptionWords(exception)}{" "}
            <button
              type="button"
              aria-label={`Take away ${exceptionWords(exception)}`}
              onClick={() => void proposing.propose({ edits: [{ path: ["hours", "exceptions", at] }] })}
            >
              Take away
            </button>
          </li>
        ))}
      </ul>
      <form
        class="typed figures"
        onSubmit={(event) => {
          const typed = typedIn(event);
          const [from, until, spans] = [typed("from"), typed("until"), hoursTyped(typed("spans"))];
          const when = until === "" || until === from ? { date: from } : { from, until };
          const what = typed("kind") === "closed" ? { closed: true } : { [typed("kind")]: spans };
          const reason = typed("reason") === "" ? {} : { reason: typed("reason") };
          void proposing.propose({
            edits: [{ path: ["hours", "exceptions", exceptions.length], value: { ...when, ...what, ...reason } }],
          });
        }}
      >
        <Field name="from" label="From" type="date" required />
        <Field name="until" label="To" hint="that day too; empty for one day" type="date" />
        <Choice
          name="kind"
          label="It is"
          options={[
            ["closed", "closed"],
            ["staffed", "staffed at these hours"],
            ["member", "open to members at these hours"],
          ]}
        />
        <Field name="spans" label="Hours" hint="like 09:00-17:00" />
        <Field name="reason" label="Why" />
        <p class="buttons">
          <button type="submit">Look it over</button>
        </p>
      </form>
      <Proposal proposing={proposing} file={shown.file} />
    </details>
  );
}
