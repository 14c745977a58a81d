// Pages that are no leaf: nothing at the address, nothing for this reader.
import type { JSX } from "preact";

export function Absent({ path }: { path: string }): JSX.Element {
  return (
    <>
      <h1>Nothing is here</h1>
      <p class="lead">
        The almanac has no page at <code>{path}</code>. The machine may have another name in the workshop file now; the contents
        above list every leaf, and <a href="/machines">Machines</a> every machine.
      </p>
    </>
  );
}

export function Refusal(): JSX.Element {
  return (
    <>
      <h1>Not for you to see</h1>
      <p class="lead">
        This leaf needs rights that you don't have. Whoever keeps the workshop's almanac can give them. The contents above list
        what is yours to read.
      </p>
    </>
  );
}
