import type { JSX } from "preact";
import { Key } from "./entry.tsx";
import type { Visit } from "./leaf.ts";
import { bucketFor } from "./questions.ts";

/** How old the log is, in words. */
export function LogAge({ visit }: { visit: Visit }): JSX.Element {
  const { calendar, reader } = visit;
  if (bucketFor(visit.may) === "month")
    return <p class="lead">These figures end with {reader.month(calendar.lastDay!)}, the last whole month of the log.</p>;
  const age = Date.parse(calendar.now) - Date.parse(calendar.lastEvent!);
  const isOld = age > 2 * 86_400_000;
  return (
    <p class="lead">
      The log's last good line is from {reader.day(calendar.lastDay!)}, {calendar.lastClock} by the workshop's clock:{" "}
      <Key>{reader.age(age)} ago</Key>. {isOld ? "What happened since is not in these figures." : "The figures run up to then."}
    </p>
  );
}

/** What those are told who see whole months only. */
export function MonthsOnly({ visit }: { visit: Visit }): JSX.Element | null {
  if (bucketFor(visit.may) === "week") return null;
  return (
    <p class="note">
      You see whole months, and nothing about a month of a machine that fewer than five members used: of days chosen that cut
      through a month, the whole months among them are counted.
    </p>
  );
}
