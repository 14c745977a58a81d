// How each command's rows stand in a terminal: headings in words, and which columns go first where there is no room for all.
import type { Row } from "../commands/command.ts";

export interface Column {
  heading: string;
  /** The value, or several of a row made into one text. */
  value(row: Row): unknown;
  /** The lower, the longer it stays. */
  rank: number;
  /** Long words: as wide as there is room, on several lines. */
  isText?: boolean;
}

export type Layout = readonly Column[];

const at = (row: Row, path: string): unknown =>
  path.split(".").reduce<unknown>((value, key) => (value as Record<string, unknown> | null | undefined)?.[key], row);

/** A column of one field; the rank says when it goes. */
const of = (path: string, heading: string, rank: number, more: Partial<Column> = {}): Column => ({
  heading,
  rank,
  value: (row) => at(row, path),
  ...more,
});

const words = (path: string, heading: string, rank: number): Column => of(path, heading, rank, { isText: true });

const share = (value: unknown): unknown =>
  typeof value === "number" ? `${(100 * value).toFixed(value < 0.1 ? 1 : 0)} %` : value;

const used: Column = {
  heading: "Used",
  rank: 4,
  value(row) {
    const range = row.used as { low: number | null; best: number | null } | null;
    return range && range.best === null && range.low !== null ? `at least ${range.low.toFixed(range.low < 10 ? 1 : 0)}` : range;
  },
};

const between: Column = {
  heading: "Four times in five between",
  rank: 5,
  value(row) {
    const { early, median, late } = (row.due ?? {}) as Record<string, string | null>;
    if (!early && !late) return null;
    if (early === late && early === median) return null;
    return `${early ?? "?"} and ${late ?? "beyond"}`;
  },
};

const dueOn: Column = {
  heading: "Due",
  rank: 0,
  value(row) {
    const median = at(row, "due.median");
    if (median) return median;
    return row.state === "unknown" ? "not known" : row.state === "later" ? "beyond the forecast" : null;
  },
};

export const layouts: Readonly<Record<string, Layout>> = {
  due: [
    of("state", "State", 3),
    dueOn,
    of("machine", "Machine", 1),
    of("part", "Part", 2),
    of("task", "Task", 1),
    between,
    used,
    of("interval", "Of", 4),
    of("basis", "Counted in", 6),
    of("lastDone", "Last done", 7),
    words("notes", "Notes", 9),
  ],
  hours: [
    of("machine", "Machine", 0),
    { heading: "From", rank: 1, value: (row) => row.day ?? row.from },
    of("hourOfWeek", "Hour of the week", 1),
    of("enabledHours", "Badge hours", 0),
    of("runHours", "Run-hours", 2),
    of("loadHours", "Load-hours", 5),
    of("sessions", "Sessions", 3),
    of("starts", "Starts", 4),
    of("members", "Members", 5),
    of("openSessions", "Still open", 6),
  ],
  sessions: [
    of("machine", "Machine", 0),
    of("start", "Start", 0),
    { heading: "End", rank: 1, value: (row) => row.end ?? (row.endBest ? ["about", row.endBest] : null) },
    of("hours", "Hours", 1),
    of("ended", "How it ended", 2),
    of("badge", "Badge", 3),
    of("station", "Station", 4),
  ],
  occupancy: [
    of("group", "Group", 0),
    of("units", "Units", 1),
    of("peak", "Most at once", 1),
    of("peakAt", "That was at", 4),
    { heading: "All taken", rank: 1, value: (row) => share(row.fullShare) },
    of("openHours", "Of open hours", 2),
    {
      heading: "Hours by units in use",
      rank: 5,
      isText: true,
      value: (row) =>
        ((row.hoursByInUse as { inUse: number; hours: number }[] | null) ?? [])
          .map(({ inUse, hours }) => `${inUse}: ${hours.toFixed(0)}`)
          .join(", "),
    },
  ],
  machines: [
    of("machine", "Machine", 0),
    of("name", "Name", 1),
    of("group", "Group", 3),
    of("room", "Room", 4),
    of("hazard", "Hazard", 4),
    of("kind", "Hours by", 3),
    of("stations", "Stations", 2),
    { heading: "In the file", rank: 2, value: (row) => (row.claimed === false ? "no machine claims it" : null) },
  ],
  ingest: [
    of("file", "File", 1),
    of("lines", "Lines", 1),
    of("stored", "Stored", 0),
    of("duplicates", "Duplicates", 2),
    of("ignored", "Ignored", 2),
    of("blank", "Blank", 3),
    of("rejected", "Rejected", 0),
    of("repaired", "Repaired", 4),
  ],
  rejects: [
    of("file", "File", 2),
    of("line", "Line", 0),
    of("field", "Field", 3),
    of("rejects", "Lines rejected", 1),
    words("reason", "Why", 0),
    of("text", "The line", 2),
  ],
  life: [
    of("machine", "Machine", 0),
    of("part", "Part", 0),
    of("task", "Task", 1),
    of("interval.advice", "Advice", 1),
    { heading: "Best replaced at", rank: 2, value: (row) => at(row, "interval.hours") },
    of("interval.setHours", "Now set", 3),
    of("unit", "Counted in", 4),
    of("failures", "Ended by wear", 3),
    of("rightCensored", "Still good", 5),
    of("shape", "Shape", 6),
    of("b10Hours", "One in ten is worn by", 4),
    { heading: "Trend", rank: 7, value: (row) => at(row, "trend.verdict") },
  ],
  findings: [
    of("id", "Id", 1),
    of("from", "When", 1),
    of("rule", "Rule", 0),
    of("severity", "Severity", 2),
    of("machine", "Machine", 2),
    of("state", "Review", 4),
    of("station", "Station", 5),
    words("evidence.text", "What the log shows", 1),
  ],
  "service list": [
    of("id", "Id", 0),
    of("time", "When", 0),
    of("machine", "Machine", 0),
    of("part", "Part", 1),
    of("task", "Task", 0),
    of("found", "As found", 1),
    {
      heading: "Mark",
      rank: 1,
      value: (row) =>
        [
          row.undone ? "undone" : "",
          row.corrects ? `corrects ${row.corrects}` : "",
          row.correctedBy ? `corrected by ${row.correctedBy}` : "",
        ]
          .filter(Boolean)
          .join(", ") || null,
    },
    of("meterHours", "Meter, h", 4),
    of("readings", "Readings", 5),
    of("cost", "Cost", 4),
    of("by", "By", 3),
    words("note", "Note", 6),
  ],
  "service asks": [of("machine", "Machine", 1), of("part", "Part", 1), of("task", "Task", 1), words("question", "Question", 0)],
  "outage list": [
    of("machine", "Machine", 0),
    of("from", "From", 0),
    { heading: "Until", rank: 0, value: (row) => row.until ?? "not over" },
    words("reason", "Why", 1),
    of("by", "By", 3),
    of("source", "Said in", 4),
    of("id", "Id", 2),
  ],
  "stock list": [
    of("machine", "Machine", 0),
    of("part", "Part", 0),
    of("inStock", "In stock", 0),
    of("leadDays", "Days to get one", 1),
    of("price", "Price", 2),
    of("used", "Used", 3),
    of("bought", "Bought", 3),
    of("countedAt", "Counted", 4),
    of("serials", "Numbers", 5),
  ],
  "note list": [
    of("id", "Id", 1),
    of("time", "When", 1),
    of("machine", "Machine", 0),
    words("text", "Said", 0),
    of("by", "By", 2),
  ],
  log: [
    of("file", "File", 1),
    of("readAt", "Read", 2),
    of("lines", "Lines", 1),
    of("stored", "Stored", 0),
    of("duplicates", "Duplicates", 3),
    of("ignored", "Ignored", 3),
    of("blank", "Blank", 4),
    of("rejected", "Rejected", 0),
    of("repaired", "Repaired", 5),
  ],
  trail: [
    of("at", "When", 0),
    of("who", "Who", 0),
    of("act", "Did", 1),
    of("what", "What", 0),
    words("detail", "Detail", 2),
    of("entry", "Entry", 3),
  ],
  "account list": [
    of("name", "Name", 0),
    of("roles", "Roles", 0),
    of("hasPassword", "Password", 1),
    of("hasSecondFactor", "Second factor", 1),
    of("lastSeen", "Last seen", 2),
    of("madeAt", "Made", 3),
  ],
  "token list": [
    of("name", "Name", 0),
    of("purpose", "For", 0),
    of("usedAt", "Last used", 1),
    of("madeAt", "Made", 2),
    of("madeBy", "By", 3),
  ],
};
