// Lives as a volunteer types them: one a line, hours and how it ended.

export interface Lives {
  time: number[];
  status: (0 | 1)[];
}

export interface LineProblem {
  line: number;
  text: string;
}

const goodWords = new Set(["good", "ok", "running", "still", "+"]);
const failedWords = new Set(["failed", "broke", "worn", "dead", "x", ""]);

/**
 * `54 failed`, `187, worn`, `216 good` or `216+`. A figure alone is a life that ended; a decimal comma is read as one, so what stands
 * between figure and word is blank, tab or semicolon, or a comma with a blank. Lines that start with # are remarks.
 */
export function livesFromText(text: string): { lives: Lives; problems: LineProblem[] } {
  const lives: Lives = { time: [], status: [] };
  const problems: LineProblem[] = [];
  for (const [i, raw] of text.split(/\r?\n/).entries()) {
    const line = raw.trim();
    if (line === "" || line.startsWith("#")) continue;
    const parts = /^([\d.,]*\d)(?:\s*h(?:ours)?)?\s*[,;]?\s*([a-z+ ]*)$/i.exec(line);
    const time = parts ? Number(parts[1]!.replace(/^(\d+),(\d+)$/, "$1.$2")) : Number.NaN;
    const word = parts?.[2]?.trim().toLowerCase().split(" ")[0] ?? "";
    const status = goodWords.has(word) ? 0 : failedWords.has(word) ? 1 : null;
    if (!(time > 0) || status === null) {
      problems.push({ line: i + 1, text: line });
      continue;
    }
    lives.time.push(time);
    lives.status.push(status);
  }
  return { lives, problems };
}
