// The measures of the score, each from its published definition and kept apart from the tool's own.

/** Interval score of a central interval (Gneiting & Raftery, JASA 102, 2007, eq. 43): width, and 2/alpha for each unit outside. */
export function intervalScore(low: number, high: number, truth: number, alpha = 0.2): number {
  const below = truth < low ? (2 / alpha) * (low - truth) : 0;
  const above = truth > high ? (2 / alpha) * (truth - high) : 0;
  return high - low + below + above;
}

/** Wilson's interval of a share (Wilson, JASA 22, 1927) at 95 %; null where nothing was tried. */
export function shareInterval(hits: number, trials: number): { low: number; high: number } | null {
  if (trials === 0) return null;
  const z = 1.959963984540054;
  const share = hits / trials;
  const middle = (share + (z * z) / (2 * trials)) / (1 + (z * z) / trials);
  const half = (z * Math.sqrt((share * (1 - share)) / trials + (z * z) / (4 * trials * trials))) / (1 + (z * z) / trials);
  return { low: middle - half, high: middle + half };
}

export interface Clustered {
  share: number;
  low: number;
  high: number;
}

/** A share over clusters whose members go together: linearised standard error of a ratio (Cochran, Sampling Techniques, 3rd ed., 6.3). */
export function clusteredShare(cells: Iterable<{ hits: number; trials: number }>): Clustered | null {
  const list = [...cells].filter(({ trials }) => trials > 0);
  const trials = list.reduce((sum, cell) => sum + cell.trials, 0);
  if (trials === 0 || list.length < 2) return null;
  const share = list.reduce((sum, { hits }) => sum + hits, 0) / trials;
  const squares = list.reduce((sum, cell) => sum + (cell.hits - share * cell.trials) ** 2, 0);
  const error = Math.sqrt((list.length / (list.length - 1)) * squares) / trials;
  return { share, low: Math.max(0, share - 1.96 * error), high: Math.min(1, share + 1.96 * error) };
}

export const mean = (list: readonly number[]): number | null =>
  list.length === 0 ? null : list.reduce((sum, value) => sum + value, 0) / list.length;

/** A Markdown table with its columns in line; null shows as a dash. */
export function markdown(columns: readonly string[], rows: readonly (readonly (string | number | null)[])[]): string {
  const cells = [columns, ...rows].map((row) => row.map((cell) => String(cell ?? "–")));
  const widths = columns.map((_, index) => Math.max(3, ...cells.map((row) => row[index]?.length ?? 0)));
  const line = (row: readonly string[]) => `| ${row.map((cell, index) => cell.padEnd(widths[index]!)).join(" | ")} |`;
  const [head, ...body] = cells;
  return [line(head!), line(widths.map((width) => "-".repeat(width))), ...body.map(line)].join("\n");
}

export const percent = (share: number | null | undefined, digits = 0): string | null =>
  share === null || share === undefined ? null : `${(100 * share).toFixed(digits)} %`;
export const fixed = (value: number | null | undefined, digits: number): string | null =>
  value === null || value === undefined || !Number.isFinite(value) ? null : value.toFixed(digits);
