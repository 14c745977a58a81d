// What every drawn figure needs before it goes on a page: no style of its own, and groups that may carry a name.
import type { Mark } from "./chart.ts";

/** Strips the styles that the page's policy forbids and gives named groups the role that allows a name. */
export function dress(figure: Element): Element {
  for (const style of [...figure.querySelectorAll("style")]) style.remove();
  for (const group of figure.querySelectorAll("g[aria-label]")) group.setAttribute("role", "group");
  const svg = figure.matches("svg") ? figure : figure.querySelector("svg");
  svg?.setAttribute("aria-hidden", "true");
  svg?.setAttribute("focusable", "false");
  return figure;
}

/** The mark nearest to a point; across counts full, down only where marks stand in more than one line. */
export function nearestMark(marks: readonly Mark[], x: number, y: number, isMap: boolean): number {
  let nearest = 0;
  let least = Number.POSITIVE_INFINITY;
  for (const [at, mark] of marks.entries()) {
    const away = isMap ? (mark.x - x) ** 2 + (mark.y - y) ** 2 : Math.abs(mark.x - x) + Math.abs(mark.y - y) / 1000;
    if (away < least) {
      least = away;
      nearest = at;
    }
  }
  return nearest;
}
