// From messages to the lines of the server's files: lost, late, twice, stamped by a wrong clock, between junk. What was done is counted.
import type { Calendar } from "./calendar.ts";
import type { Cut, RadioLoss } from "./faults.ts";
import type { BadWeek, Message, Word } from "./messages.ts";
import { addressText } from "./place.ts";
import type { Chance } from "./random.ts";

export const houseWords: Record<Word, string> = {
  enable: "IN",
  release: "OUT",
  refuse: "NO",
  boot: "START",
  alive: "HERE",
  "motor-on": "MOT+",
  "motor-off": "MOT-",
  change: "SET",
};
export const ignoredWords = ["TEMP", "LAMP"] as const;
export const header = "When;Unit;Action;Card;Count;Remark";

export interface LogFile {
  name: string;
  bytes: Buffer;
  lines: number;
  stored: number;
  duplicates: number;
  ignored: number;
  blank: number;
  rejected: number;
  /** Stored lines stamped by a clock that was not set. */
  unset: number;
  /** Lines that stand behind the place their time would give them. */
  late: number;
}
export interface Seen {
  enable: Uint8Array;
  release: Uint8Array;
}

type Fate = "stored" | "ignored" | "blank" | "rejected";
interface Line {
  arrives: number;
  text: string;
  fate: Fate;
  isUnset: boolean;
  isLate?: boolean;
  isWritten?: boolean;
}

export interface MessOptions {
  calendar: Calendar;
  cuts: Cut[];
  losses: RadioLoss[];
  /** Weeks in which a station's releases get lost. */
  missing: BadWeek[];
  isMessy: boolean;
  sessionCount: number;
  chance: Chance;
}

/** Monthly files in the order in which the server wrote them, each line's fate counted. */
export function filesFrom(messages: Message[], options: MessOptions): { files: LogFile[]; seen: Seen } {
  const { calendar, chance, isMessy } = options;
  const seen: Seen = { enable: new Uint8Array(options.sessionCount), release: new Uint8Array(options.sessionCount) };
  const lines: Line[] = [];
  const wrong = options.cuts.filter(({ clock }) => clock === "unset" || clock === "saved");

  for (const message of messages) {
    const { time, machine, word, session } = message;
    // Of a bouncing contact the last release counts: whether it was seen is open again with every closing.
    if (session >= 0 && (word === "enable" || word === "release")) seen.release[session] = 0;
    let arrives = time;
    const loss = options.losses.find((item) => item.machine === machine && time >= item.from && time < item.until);
    if (loss !== undefined) {
      if (!loss.isKept) continue;
      arrives = loss.until + (time - loss.from) / (loss.until - loss.from);
    } else if (isMessy) {
      if (chance.happens(word === "release" ? 0.003 : 0.0004)) continue;
      if (chance.happens(0.01)) arrives += chance.whole(2, 50);
    }
    const isBad = (week: BadWeek) => week.machine === machine && time >= week.from && time < week.until;
    if (word === "release" && options.missing.some((week) => isBad(week) && chance.happens(week.share))) continue;
    if (session >= 0 && word === "enable") seen.enable[session] = 1;
    if (session >= 0 && word === "release") seen.release[session] = 1;
    const fault = wrong.find((cut) => time >= cut.until - 10 && time < cut.clockUntil);
    // A line under way when the clock is put right still bears the old stamp, so it also stays before the good ones.
    if (fault !== undefined && loss === undefined) arrives = Math.min(arrives, fault.clockUntil - 0.5);
    const stamp = fault === undefined ? time : fault.clockReads + (time - (fault.until - 10));
    lines.push({
      arrives,
      text: textOf(message, calendar.stamp(stamp)),
      fate: "stored",
      isUnset: fault?.clock === "unset",
      isLate: arrives >= time + 1,
    });
  }
  for (const day of calendar.days) {
    const stamp = calendar.stamp(day.from + 6 * 3600);
    const degrees = (chance.whole(120, 230) / 10).toFixed(1);
    lines.push({ arrives: day.from + 6 * 3600, text: `${stamp};000;TEMP;;;${degrees}`, fate: "ignored", isUnset: false });
    if (day.weekday === 0) {
      lines.push({ arrives: day.from + 6 * 3600 + 1, text: `${stamp};000;LAMP;;;check`, fate: "ignored", isUnset: false });
    }
  }
  if (isMessy) lines.push(...junk(calendar, chance));
  lines.sort((a, b) => a.arrives - b.arrives);
  return { files: months(lines, options), seen };
}

// Boards with an odd address don't repeat the card when it leaves.
function textOf(message: Message, stamp: string): string {
  const { word, address, sequence } = message;
  const badge = word === "release" && address % 2 === 1 ? "" : message.badge;
  const detail = /[;"]/.test(message.detail) ? `"${message.detail.replaceAll('"', '""')}"` : message.detail;
  return `${stamp};${addressText(address)};${houseWords[word]};${badge};${sequence};${detail}`;
}

function junk(calendar: Calendar, chance: Chance): Line[] {
  const lines: Line[] = [];
  const put = (time: number, text: string, fate: Fate = "rejected") => lines.push({ arrives: time, text, fate, isUnset: false });
  const sometime = () => Math.floor(chance.between(calendar.from + 3600, calendar.until - 3600));
  const days = (calendar.until - calendar.from) / 86_400;
  const each = (perYear: number, make: (time: number, stamp: string, unit: string) => void) => {
    for (let count = Math.max(2, Math.round((perYear * days) / 365.25)); count > 0; count -= 1) {
      const time = sometime();
      make(time, calendar.stamp(time), addressText(chance.whole(1, 40)));
    }
  };
  each(12, (time, stamp, unit) => put(time, `${stamp};${unit};FAN;;${chance.whole(1, 9999)};`));
  each(6, (time, stamp, unit) => put(time, `${stamp};${unit};I;${chance.whole(1000, 9999)};${chance.whole(1, 9999)};`));
  each(8, (time, stamp) => put(time, stamp.slice(0, chance.whole(4, 15))));
  each(6, (time) => put(time, "\u0001\u00ff\u00fe#~\u0012\u00ff"));
  each(4, (time, stamp, unit) => put(time, `31/02${stamp.slice(5)};${unit};IN;${chance.whole(1000, 9999)};7;`));
  each(4, (time, stamp) => put(time, `${stamp};;IN;${chance.whole(1000, 9999)};${chance.whole(1, 9999)};`));
  each(20, (time) => put(time, chance.pick(["", "   ", "\t"]), "blank"));
  // In spring an hour doesn't exist; a board with its own clock stamped one line in it.
  for (const { time, before, after } of calendar.changes) {
    if (after <= before) continue;
    const gone = new Date((time + before) * 1000 + 20 * 60_000).toISOString();
    put(time + 900, `${gone.slice(8, 10)}/${gone.slice(5, 7)}/${gone.slice(0, 4)} ${gone.slice(11, 19)};017;IN;004711;90017;`);
  }
  return lines;
}

function months(lines: Line[], { calendar, isMessy, chance }: MessOptions): LogFile[] {
  const files: LogFile[] = [];
  let at = 0;
  let previous: Line[] = [];
  const starts = calendar.days.filter(({ date }, index) => index === 0 || date.endsWith("-01"));
  for (const [index, { date }] of starts.entries()) {
    const month = date.slice(0, 7);
    const until = starts[index + 1]?.from ?? Number.POSITIVE_INFINITY;
    const rows: Line[] = [];
    // The server was restarted in the middle of writing a new month and wrote the old month's last lines again.
    if (isMessy && previous.length > 60 && chance.happens(0.12))
      rows.push(...previous.slice(-40).filter(({ isUnset }) => !isUnset));
    const own: Line[] = [];
    while (at < lines.length && lines[at]!.arrives < until) {
      const line = lines[at]!;
      own.push(line);
      rows.push(line);
      at += 1;
      if (isMessy && line.fate === "stored" && !line.isUnset && chance.happens(0.003)) rows.push(line);
    }
    previous = own;
    files.push(fileFrom(month, rows));
  }
  return files;
}

function fileFrom(month: string, rows: Line[]): LogFile {
  const file: LogFile = {
    name: `stations-${month}.csv`,
    bytes: Buffer.alloc(0),
    lines: rows.length,
    stored: 0,
    duplicates: 0,
    ignored: 0,
    blank: 0,
    rejected: 0,
    unset: 0,
    late: rows.filter(({ isLate }) => isLate === true).length,
  };
  const out: string[] = [`# station server, log of ${month}, times as on the wall clock`, header];
  for (const row of rows) {
    const { text, fate, isUnset } = row;
    out.push(text);
    if (fate !== "stored") file[fate] += 1;
    else if (isUnset) {
      file.stored += 1;
      file.unset += 1;
    } else if (row.isWritten === true) file.duplicates += 1;
    else file.stored += 1;
    row.isWritten = true;
  }
  out.push("");
  // One byte a character: the junk holds bytes that are no UTF-8, everything else is plain ASCII.
  file.bytes = Buffer.from(out.join("\r\n"), "latin1");
  return file;
}
