// A small workshop with two machines, hours and a roster, a log of a few lines, and findings asked in this process.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { type Bench, openBench } from "../service/shop.ts";

export interface ShopOptions {
  /** Lines behind the workshop's own, at the left edge. */
  workshop?: string;
  roster?: string;
  planer?: string;
  /** All lines so many weeks later. */
  shiftWeeks?: number;
}

const workshopText = ({ workshop = "", planer = "" }: ShopOptions) => `workshop: {name: Dunlin Yard, zone: Europe/Lisbon}
privacy: {badges: kept}
hours:
  staffed: {tue: ["18:00-22:00"]}
  member: {mon: ["08:00-20:00"], wed: ["08:00-20:00"]}
rooms: [{id: wood}, {id: metal}]
roster: roster.csv
machines:
  - {id: planer, name: Planer, room: wood, hazard: high, stations: [{station: "21"}]${planer}}
  - {id: sander, name: Sander, room: wood, hazard: low, stations: [{station: "22"}]}
  - {id: lathe, name: Lathe, room: metal, hazard: medium, stations: [{station: "31"}]}
${workshop}`;

const rosterText = `badge,person,name,role,valid_from,valid_until,machines
7,p1,,member,,,
70,p1,,member,,,
8,p2,,member,,,
9,p3,,member,2025-03-01,2025-03-10,sander
`;

/** `mon 09:00:00` of the week of Monday 3 March 2025, in UTC, which is Lisbon's time then; `+1 mon 09:00` a week later. */
export function at(text: string, shiftWeeks = 0): string {
  const [, weeks = "0", day, time] = /^(?:\+(\d+) )?(mon|tue|wed|thu|fri|sat|sun) (\d\d:\d\d(?::\d\d)?)$/.exec(text)!;
  const days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"].indexOf(day!) + 7 * (Number(weeks) + shiftWeeks);
  const date = new Date(Date.UTC(2025, 2, 3 + days)).toISOString().slice(0, 10);
  return `${date}T${time!.length === 5 ? `${time}:00` : time}Z`;
}

/** Lines `mon 09:00,21,enable,7,12,detail` become the house format; a whole stamp stays as it is. */
export const logOf = (lines: readonly string[], shiftWeeks = 0): string =>
  `time,station,event,badge,sequence,detail\n${lines
    .map((line) => {
      const [when, ...rest] = line.split(",");
      return [/^\d{4}-/.test(when!) ? when : at(when!, shiftWeeks), ...rest, "", "", ""].slice(0, 6).join(",");
    })
    .join("\n")}\n`;

/** Lines of a whole session. */
export const session = (from: string, until: string, station: string, badge: string): string[] => [
  `${from},${station},enable,${badge}`,
  `${until},${station},release,${badge}`,
];

export async function openShop(lines: readonly string[], options: ShopOptions = {}): Promise<Bench> {
  return openShopOfFiles([logOf(lines, options.shiftWeeks)], options);
}

/** Files of a log, read in that order. */
export async function openShopOfFiles(files: readonly string[], options: ShopOptions = {}): Promise<Bench> {
  const bench = await openBench(workshopText(options), null);
  writeFileSync(join(bench.dir, "roster.csv"), options.roster ?? rosterText);
  for (const [number, text] of files.entries()) {
    writeFileSync(join(bench.dir, `log-${number}.csv`), text);
    await bench.answer("ingest", { files: [`log-${number}.csv`] });
  }
  return bench;
}

export interface Flag {
  id: string;
  rule: string;
  severity: string;
  machine: string | null;
  station: string | null;
  badge: string | null;
  from: string;
  until: string;
  score: number | null;
  state: string;
  hasChanged: boolean;
  evidence: { text: string; unknown: string; figures: Record<string, number | string | null> };
}

/** The findings of one rule, or of all. */
export async function flagsOf(lines: readonly string[], rule?: string, options: ShopOptions = {}): Promise<Flag[]> {
  const bench = await openShop(lines, options);
  try {
    return (await bench.run("findings", rule === undefined ? {} : { rule })).findings;
  } finally {
    bench.close();
  }
}
