// A digest as text and as HTML, from the same parts. No badge, no name of a member: mail is read by whoever gets at it.

export interface DigestPart {
  title: string;
  /** One line each; empty where there is nothing to say. */
  lines: string[];
  /** Said where there are no lines. */
  nothing: string;
  /** What whoever acts on it must know first. */
  cautions?: readonly string[];
}

export interface Digest {
  role: string;
  workshop: string;
  /** The Monday of its week, and the day it was made. */
  week: string;
  today: string;
  parts: DigestPart[];
}

export interface Composed {
  subject: string;
  text: string;
  html: string;
}

const escaped = (text: string): string =>
  text.replace(/[&<>"']/g, (sign) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" })[sign]!);

export function composed({ role, workshop, week, today, parts }: Digest): Composed {
  const subject = `${workshop}: the week of ${week}, for ${role}`;
  const foot =
    "Made by Workshop Almanac from the workshop's log and records. It is no alarm, and a forecast never replaces an inspection.";
  const text = [
    subject,
    `As of ${today}.`,
    ...parts.map(({ title, lines, nothing, cautions = [] }) =>
      [
        title.toUpperCase(),
        ...(lines.length === 0 ? [nothing] : [...cautions.map((caution) => `! ${caution}`), ...lines.map((line) => `- ${line}`)]),
      ].join("\n"),
    ),
    foot,
  ].join("\n\n");
  const html = [
    `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${escaped(subject)}</title></head><body>`,
    `<h1>${escaped(subject)}</h1><p>As of ${escaped(today)}.</p>`,
    ...parts.map(({ title, lines, nothing, cautions = [] }) =>
      [
        `<h2>${escaped(title)}</h2>`,
        ...(lines.length === 0
          ? [`<p>${escaped(nothing)}</p>`]
          : [
              ...cautions.map((caution) => `<p><strong>${escaped(caution)}</strong></p>`),
              `<ul>${lines.map((line) => `<li>${escaped(line)}</li>`).join("")}</ul>`,
            ]),
      ].join(""),
    ),
    `<p>${escaped(foot)}</p></body></html>`,
  ].join("\n");
  return { subject, text: `${text}\n`, html: `${html}\n` };
}
