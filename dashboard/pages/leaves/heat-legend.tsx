import type { JSX } from "preact";

/** The six steps of a map, from nothing to the most. */
export const HeatLegend = (): JSX.Element => (
  <p>
    nothing{" "}
    {[0, 1, 2, 3, 4, 5].map((step) => (
      <span class={`swatch heat heat-${step}`} key={step} />
    ))}{" "}
    the most
  </p>
);
