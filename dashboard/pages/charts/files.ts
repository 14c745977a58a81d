// A chart to take away: its picture as a file of its own, its numbers as CSV.
import type { NumbersTable } from "./chart.ts";

const painted = ["fill", "stroke", "color", "font-family", "font-size", "font-variant-numeric", "stroke-width"] as const;

/** The drawn figure as a file that looks the same outside of the page: what the style sheet gave stands in it. */
export function pictureOf(svg: SVGElement, title: string): Blob {
  const copy = svg.cloneNode(true) as SVGElement;
  const originals = [svg, ...svg.querySelectorAll<SVGElement>("*")];
  const copies = [copy, ...copy.querySelectorAll<SVGElement>("*")];
  for (const [i, original] of originals.entries()) {
    const styles = getComputedStyle(original);
    for (const name of painted) copies[i]?.setAttribute(name, styles.getPropertyValue(name));
  }
  const paper = svg.ownerDocument.createElementNS("http://www.w3.org/2000/svg", "rect");
  for (const [name, value] of [
    ["width", "100%"],
    ["height", "100%"],
    ["fill", getComputedStyle(svg.ownerDocument.body).backgroundColor],
  ])
    paper.setAttribute(name!, value!);
  copy.prepend(paper);
  const words = svg.ownerDocument.createElementNS("http://www.w3.org/2000/svg", "title");
  words.textContent = title;
  copy.prepend(words);
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.removeAttribute("aria-hidden");
  copy.setAttribute("role", "img");
  return new Blob([new XMLSerializer().serializeToString(copy)], { type: "image/svg+xml" });
}

const quoted = (cell: string): string => (/[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);

/** A table as CSV, as it is shown. */
export const fileFromTable = ({ head, body }: NumbersTable): Blob =>
  new Blob([[head, ...body].map((row) => `${row.map(quoted).join(",")}\r\n`).join("")], { type: "text/csv" });
