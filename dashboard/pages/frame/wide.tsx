import type { ComponentChildren, JSX } from "preact";

/** Room for a table that may be wider than the page: it scrolls within itself, with the arrow keys too. */
export function Wide({ name, children }: { name: string; children: ComponentChildren }): JSX.Element {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
    <section class="wide" tabIndex={0} aria-label={name}>
      {children}
    </section>
  );
}
