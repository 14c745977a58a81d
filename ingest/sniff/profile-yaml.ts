// The proposed profile as YAML that a volunteer can read and mend: every choice with a comment, every doubt as a question.
import type { Column, Roles } from "./roles.ts";
import type { Shape } from "./shape.ts";

export function profileYaml(shape: Shape, roles: Roles, encoding: string, zone?: string): { yaml: string; questions: string[] } {
  const questions: string[] = [];
  const lines = [
    "# Proposed from the file's own values; every line may be changed.",
    "profile: proposed",
    `format: ${shape.format}`,
    ...(shape.delimiter === null ? [] : [`delimiter: ${JSON.stringify(shape.delimiter)}`]),
    ...(shape.header ? [] : ["header: false # columns are numbers, from 1"]),
    ...(shape.skipLines === 0
      ? []
      : [`skip_lines: ${shape.skipLines} # lines before the ${shape.header ? "header" : "first row"}`]),
    ...(shape.comment === null ? [] : [`comment: ${JSON.stringify(shape.comment)}`]),
    ...(encoding === "utf-8" ? [] : [`encoding: ${encoding}`]),
    `rows: ${roles.rows}${roles.rows === "events" ? " # one happening a row" : " # one stretch a row, with its start and end"}`,
  ];
  const style = roles.time[0]!.stamp!;
  if (!style.hasOffset) {
    const own = zone === undefined ? "the workshop's own zone" : `the workshop's own zone, ${zone}`;
    lines.push(
      zone === undefined
        ? "# zone: Region/City # the stamps have no offset; without this line they are in the workshop's zone"
        : `# zone: ${zone} # the stamps have no offset; this is the workshop's zone, by which they are read without this line too`,
    );
    questions.push(`Stamps of ${names(roles.time)} have no offset: are they in ${own}? If not, set zone.`);
  }
  lines.push("fields:");
  if (roles.rows === "events") {
    lines.push(`  time: ${timeField(roles.time, questions)}`);
  } else {
    lines.push(`  start: ${timeField(roles.time, questions)}`);
    if (roles.finish !== null) lines.push(`  finish: ${timeField([roles.finish], questions)}`);
    if (roles.duration !== null) {
      lines.push(
        `  duration: {column: ${quoted(roles.duration.column.name)}, unit: ${roles.duration.unit}${decimalOf(roles.duration.column)}}`,
      );
      questions.push(`Is ${roles.duration.column.name} counted in ${roles.duration.unit}?`);
    }
  }
  lines.push(`  station: ${quoted(roles.station.name)} # ${roles.station.distinct.size} different in the sample`);
  if (roles.otherStations.length > 0)
    questions.push(`Is ${roles.station.name} the station? It might be ${roles.otherStations.join(" or ")} as well.`);
  if (roles.event !== null) lines.push(...eventField(roles.event, questions));
  if (roles.maybeEvent !== null) lines.push(...maybeEventField(roles.maybeEvent, questions));
  if (roles.badge === null) questions.push("No column reads as a badge: is there none?");
  else lines.push(`  badge: ${quoted(roles.badge.name)} # ${roles.badge.distinct.size} different in the sample`);
  if (roles.sequence !== null) lines.push(`  sequence: ${quoted(roles.sequence.name)}`);
  if (roles.detail !== null) lines.push(`  detail: ${quoted(roles.detail.name)}`);
  const hasRelease = roles.event !== null && Object.values(roles.event.map).includes("release");
  if (roles.rows === "events" && !hasRelease) {
    if (roles.badge !== null && roles.maybeEvent === null)
      lines.push("ends: badge-elsewhere # no word for a release: a badge's stretch ends when it is read somewhere else");
    if (roles.maybeEvent === null)
      questions.push("No word means that a badge was taken out: does a stretch end when the badge is read somewhere else?");
  }
  return { yaml: `${lines.join("\n")}\n`, questions };
}

function timeField(columns: Column[], questions: string[]): string {
  const styles = columns.map(({ stamp }) => stamp!);
  const name = columns.length === 1 ? quoted(columns[0]!.name) : `[${columns.map((column) => quoted(column.name)).join(", ")}]`;
  const format = styles.every((style) => style.format === null)
    ? null
    : styles.map((style) => style.format ?? "%Y-%m-%d").join(" ");
  const parts = [`column: ${name}`];
  const [style] = styles;
  if (format !== null) parts.push(`format: ${JSON.stringify(format)}`);
  if (style!.unit !== null) parts.push(`unit: ${style!.unit}`);
  if (style!.isYearCut) {
    parts.push("add_years: 2000");
    questions.push(`Years of ${names(columns)} are written like 0014: are 2000 years missing, as add_years has it?`);
  }
  if (style!.isOrderOpen)
    questions.push(
      `In ${names(columns)} no value tells whether day or month comes first: is it ${format!.startsWith("%d") ? "day/month" : "month/day"}, as proposed?`,
    );
  return parts.length === 1 && columns.length === 1 ? quoted(columns[0]!.name) : `{${parts.join(", ")}}`;
}

function eventField({ column, map, unknown }: NonNullable<Roles["event"]>, questions: string[]): string[] {
  const words = Object.entries(map).map(([word, kind]) => `${quoted(word)}: ${kind}`);
  const ignore = unknown.length === 0 ? "" : `, ignore: [${unknown.map(quoted).join(", ")}]`;
  if (unknown.length > 0)
    questions.push(`What do these words of ${column.name} mean: ${unknown.join(", ")}? They are ignored as proposed.`);
  return [`  event: {column: ${quoted(column.name)}, map: {${words.join(", ")}}${ignore}}`];
}

/** A column that may say what happened, in words that nobody has told: a question. */
function maybeEventField(column: Column, questions: string[]): string[] {
  const words = [...column.distinct].slice(0, 12);
  questions.push(
    `Does ${column.name} say what happened? What do its words mean: ${words.join(", ")}? Write each as enable, release, refuse, boot, alive, motor-on, motor-off or change in the event line; until then every line counts as a badge accepted.`,
  );
  const map = words.map((word) => `${quoted(word)}: enable`).join(", ");
  return [`  event: {column: ${quoted(column.name)}, map: {${map}}} # nobody has said yet which word is which`];
}

const decimalOf = ({ values }: Column): string => (values.some((value) => value.includes(",")) ? ', decimal: ","' : "");
const names = (columns: Column[]): string => columns.map(({ name }) => name).join(" and ");
const quoted = (text: string): string =>
  /^[A-Za-z_][\w-]*$/.test(text) && !/^(null|true|false|yes|no|on|off|y|n)$/i.test(text) ? text : JSON.stringify(text);
