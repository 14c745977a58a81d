import type { JSX } from "preact";
import { Key } from "./entry.tsx";
import type { Visit } from "./leaf.ts";

/** How old the log is, in words. */
export function LogAge({ visit }: { visit: Visit }): JSX.Element {
  const { calendar, reader } = visit;
  const age = Date.parse(calendar.now) - Date.parse(calendar.lastEvent!);
  const isOld = age > 2 * 86_400_000;
  return (
    <p class="lead">
      The log's last good line is from {reader.day(calendar.lastDay!)}, {calendar.lastClock} by the workshop's clock:{" "}
      <Key>{reader.age(age)} ago</Key>. {isOld ? "What happened since is not in these figures." : "The figures run up to then."}
    </p>
  );
}
