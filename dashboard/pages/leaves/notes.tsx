import type { JSX } from "preact";
import { Entry } from "./entry.tsx";

/** What the figures lack and somebody could put right, as the answer says it. */
export function Notes({ notes }: { notes: readonly string[] }): JSX.Element | null {
  if (notes.length === 0) return null;
  return (
    <Entry name="To put right" id="notes">
      <ul class="notes">
        {notes.map((note) => (
          <li key={note}>{note}</li>
        ))}
      </ul>
    </Entry>
  );
}
