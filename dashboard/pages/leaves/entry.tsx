// One entry of a leaf: its name and its chief figure in the margin, sentences, and a picture.
import type { ComponentChildren, JSX } from "preact";

export interface EntryProps {
  name: string;
  id: string;
  /** The figure to see from afar, and its unit; the sentences say it again. */
  chief?: { figure: string; unit: string } | undefined;
  children: ComponentChildren;
}

export function Entry({ name, id, chief, children }: EntryProps): JSX.Element {
  return (
    <section class="entry" aria-labelledby={id}>
      <div class="margin">
        <h2 id={id}>{name}</h2>
        {chief ? (
          <p class="chief" aria-hidden="true">
            <span class="chief-figure">{chief.figure}</span> <span class="chief-unit">{chief.unit}</span>
          </p>
        ) : null}
      </div>
      <div class="entry-body">{children}</div>
    </section>
  );
}

/** A figure within a sentence that the eye should find. */
export const Key = ({ children }: { children: ComponentChildren }): JSX.Element => <strong class="key">{children}</strong>;
