// What a change does to a text, line by line, with the lines around it.
import { structuredPatch } from "diff";

export interface ChangedLine {
  /** `-` goes, `+` comes, a blank stays. */
  sign: "-" | "+" | " ";
  /** The line's number in the new text; of a line that goes, in the old one. */
  line: number;
  text: string;
}

/** The changed stretches, each with up to three lines before and after; none where the texts are equal. */
export function changedLines(before: string, after: string): ChangedLine[][] {
  const { hunks } = structuredPatch("", "", before, after, "", "", { context: 3 });
  return hunks.map(({ oldStart, newStart, lines }) => {
    let [old, fresh] = [oldStart, newStart];
    return lines
      .filter((line) => !line.startsWith("\\"))
      .map((line) => {
        const sign = line[0] as ChangedLine["sign"];
        const at = sign === "-" ? old : fresh;
        if (sign !== "+") old += 1;
        if (sign !== "-") fresh += 1;
        return { sign, line: at, text: line.slice(1) };
      });
  });
}
