// One entry of a leaf: its name in the margin, sentences, and a figure.
import type { ComponentChildren, JSX } from "preact";

export function Entry({ name, id, children }: { name: string; id: string; children: ComponentChildren }): JSX.Element {
  return (
    <section class="entry" aria-labelledby={id}>
      <h2 id={id}>{name}</h2>
      <div class="entry-body">{children}</div>
    </section>
  );
}

/** A figure within a sentence that the eye should find. */
export const Key = ({ children }: { children: ComponentChildren }): JSX.Element => <strong class="key">{children}</strong>;
