// One record's text becomes its cells. A quote opens a field only at its start (behind white space at most), a doubled one stands
// for itself, and what follows a closing one must be the delimiter.

export type Cells = { kind: "whole"; cells: string[] } | { kind: "open" } | { kind: "malformed" };

/** Splits by one character, or by runs of white space for `spaces`; `open` where a quoted field doesn't end in this text. */
export function cellsOf(text: string, delimiter: string, quote: string): Cells {
  if (delimiter === "spaces") return bySpaces(text, quote);
  if (quote === "" || !text.includes(quote)) return { kind: "whole", cells: text.split(delimiter) };
  const cells: string[] = [];
  for (let at = 0; ; ) {
    const opening = opensAt(text, at, quote, delimiter);
    if (opening === -1) {
      const end = text.indexOf(delimiter, at);
      cells.push(end === -1 ? text.slice(at) : text.slice(at, end));
      if (end === -1) return { kind: "whole", cells };
      at = end + delimiter.length;
      continue;
    }
    const closed = quotedFrom(text, opening + quote.length, quote);
    if (closed === null) return { kind: "open" };
    cells.push(closed.value);
    let next = closed.next;
    while (text[next] !== delimiter && /\s/.test(text[next] ?? "")) next++;
    if (next >= text.length) return { kind: "whole", cells };
    if (!text.startsWith(delimiter, next)) return { kind: "malformed" };
    at = next + delimiter.length;
  }
}

/** Where the field that starts at `from` opens a quote, else -1. */
function opensAt(text: string, from: number, quote: string, delimiter: string): number {
  let at = from;
  while (at < text.length && text[at] !== delimiter && (text[at] === " " || text[at] === "\t")) at++;
  return text.startsWith(quote, at) ? at : -1;
}

function quotedFrom(text: string, from: number, quote: string): { value: string; next: number } | null {
  let value = "";
  for (let at = from; ; ) {
    const end = text.indexOf(quote, at);
    if (end === -1) return null;
    value += text.slice(at, end);
    if (!text.startsWith(quote, end + quote.length)) return { value, next: end + quote.length };
    value += quote;
    at = end + 2 * quote.length;
  }
}

function bySpaces(text: string, quote: string): Cells {
  const trimmed = text.trim();
  if (quote === "" || !trimmed.includes(quote)) return { kind: "whole", cells: trimmed.split(/\s+/) };
  const cells: string[] = [];
  for (let at = 0; at < trimmed.length; ) {
    if (trimmed.startsWith(quote, at)) {
      const closed = quotedFrom(trimmed, at + quote.length, quote);
      if (closed === null) return { kind: "open" };
      if (closed.next < trimmed.length && !/\s/.test(trimmed[closed.next] ?? "")) return { kind: "malformed" };
      cells.push(closed.value);
      at = closed.next;
    } else {
      const end = trimmed.slice(at).search(/\s/);
      cells.push(end === -1 ? trimmed.slice(at) : trimmed.slice(at, at + end));
      at = end === -1 ? trimmed.length : at + end;
    }
    while (at < trimmed.length && /\s/.test(trimmed[at] ?? "")) at++;
  }
  return { kind: "whole", cells };
}
