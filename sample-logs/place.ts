// The workshop that never was: its rooms, machines, stations and hours. Everything here is made up; no place, maker or person is meant.
import type { OpeningHours } from "./calendar.ts";

export const place = {
  name: "Kittiwake Yard Workshop",
  zone: "America/St_Johns",
  currency: "CAD",
  addressBits: 6,
} as const;

export const rooms = [
  { id: "wood", name: "Wood room" },
  { id: "metal", name: "Metal room" },
  { id: "studio", name: "Studio" },
] as const;
export type Room = (typeof rooms)[number]["id"];

export interface Machine {
  id: string;
  name: string;
  group: string;
  room: Room;
  hazard: "high" | "medium" | "low";
  alone?: "never" | "ask" | "fine";
  price: number;
  /** Address set by the jumpers; as text with leading zeros wherever it is written. */
  address: number;
  /** Median minutes of one session and the spread of its logarithm. */
  minutes: number;
  sigma: number;
  /** Share of the enabled time, after the set-up, in which the motor turns. */
  duty: number;
  /** Minutes from badge in to first turning. */
  setUp: number;
  /** Minutes of one burst of the motor, where a current sensor reports it. */
  burst?: number;
  /** Hour-meter reading on the first day. */
  meter?: number;
  dustLoad?: number;
  circuit?: string;
}

/** In order of preference within a group. */
export const machines: Machine[] = [
  {
    id: "table-saw-1",
    name: "Table saw, left",
    group: "table-saw",
    room: "wood",
    hazard: "high",
    alone: "never",
    price: 3900,
    address: 5,
    minutes: 13,
    sigma: 0.55,
    duty: 0.46,
    setUp: 1.5,
    meter: 1204.6,
    dustLoad: 3,
    circuit: "20A",
  },
  {
    id: "table-saw-2",
    name: "Table saw, right",
    group: "table-saw",
    room: "wood",
    hazard: "high",
    alone: "never",
    price: 3900,
    address: 6,
    minutes: 13,
    sigma: 0.6,
    duty: 0.42,
    setUp: 1.5,
    dustLoad: 3,
    circuit: "20A",
  },
  {
    id: "band-saw-1",
    name: "Band saw, large",
    group: "band-saw",
    room: "wood",
    hazard: "medium",
    price: 2600,
    address: 9,
    minutes: 11,
    sigma: 0.55,
    duty: 0.58,
    setUp: 1,
    dustLoad: 1,
    circuit: "20A",
  },
  {
    id: "band-saw-2",
    name: "Band saw, small",
    group: "band-saw",
    room: "wood",
    hazard: "medium",
    price: 1100,
    address: 10,
    minutes: 12,
    sigma: 0.6,
    duty: 0.5,
    setUp: 1,
    dustLoad: 1,
    circuit: "15A",
  },
  {
    id: "planer",
    name: "Thickness planer",
    group: "planer",
    room: "wood",
    hazard: "high",
    price: 2400,
    address: 12,
    minutes: 14,
    sigma: 0.5,
    duty: 0.62,
    setUp: 2,
    burst: 4,
    meter: 388.2,
    dustLoad: 6,
    circuit: "30A",
  },
  {
    id: "jointer",
    name: "Jointer",
    group: "jointer",
    room: "wood",
    hazard: "high",
    alone: "ask",
    price: 1900,
    address: 17,
    minutes: 9,
    sigma: 0.5,
    duty: 0.5,
    setUp: 1,
    dustLoad: 4,
    circuit: "20A",
  },
  {
    id: "drum-sander",
    name: "Drum sander",
    group: "sander",
    room: "wood",
    hazard: "low",
    price: 1700,
    address: 18,
    minutes: 16,
    sigma: 0.6,
    duty: 0.66,
    setUp: 1.5,
    dustLoad: 2,
    circuit: "20A",
  },
  {
    id: "belt-sander",
    name: "Belt sander",
    group: "sander",
    room: "wood",
    hazard: "low",
    price: 700,
    address: 20,
    minutes: 10,
    sigma: 0.65,
    duty: 0.7,
    setUp: 0.5,
    dustLoad: 2,
    circuit: "15A",
  },
  {
    id: "wood-lathe-1",
    name: "Wood lathe, long bed",
    group: "wood-lathe",
    room: "wood",
    hazard: "medium",
    price: 2800,
    address: 23,
    minutes: 34,
    sigma: 0.6,
    duty: 0.6,
    setUp: 4,
    circuit: "20A",
  },
  {
    id: "wood-lathe-2",
    name: "Wood lathe, bench",
    group: "wood-lathe",
    room: "wood",
    hazard: "medium",
    price: 950,
    address: 28,
    minutes: 30,
    sigma: 0.6,
    duty: 0.58,
    setUp: 3,
    circuit: "15A",
  },
  {
    id: "metal-lathe-1",
    name: "Metal lathe, geared head",
    group: "metal-lathe",
    room: "metal",
    hazard: "medium",
    alone: "never",
    price: 6200,
    address: 33,
    minutes: 36,
    sigma: 0.6,
    duty: 0.5,
    setUp: 6,
    meter: 2871.3,
    circuit: "20A",
  },
  {
    id: "metal-lathe-2",
    name: "Metal lathe, bench",
    group: "metal-lathe",
    room: "metal",
    hazard: "medium",
    price: 2300,
    address: 34,
    minutes: 32,
    sigma: 0.65,
    duty: 0.45,
    setUp: 5,
    burst: 9,
    circuit: "15A",
  },
  {
    id: "mill",
    name: "Knee mill",
    group: "mill",
    room: "metal",
    hazard: "high",
    price: 7400,
    address: 36,
    minutes: 42,
    sigma: 0.55,
    duty: 0.48,
    setUp: 8,
    burst: 10,
    meter: 1590.0,
    circuit: "30A",
  },
  {
    id: "drill-press-1",
    name: "Drill press, floor",
    group: "drill-press",
    room: "metal",
    hazard: "medium",
    price: 1300,
    address: 39,
    minutes: 7,
    sigma: 0.7,
    duty: 0.4,
    setUp: 0.8,
    circuit: "15A",
  },
  {
    id: "drill-press-2",
    name: "Drill press, bench",
    group: "drill-press",
    room: "metal",
    hazard: "medium",
    price: 520,
    address: 38,
    minutes: 7,
    sigma: 0.7,
    duty: 0.4,
    setUp: 0.8,
    circuit: "15A",
  },
  {
    id: "welder",
    name: "Welding bay",
    group: "welder",
    room: "metal",
    hazard: "medium",
    price: 3100,
    address: 46,
    minutes: 24,
    sigma: 0.6,
    duty: 0.3,
    setUp: 4,
    circuit: "50A",
  },
  {
    id: "laser",
    name: "Laser cutter",
    group: "laser",
    room: "studio",
    hazard: "low",
    price: 8800,
    address: 51,
    minutes: 22,
    sigma: 0.6,
    duty: 0.78,
    setUp: 3,
    meter: 640.5,
    circuit: "20A",
  },
  {
    id: "kiln",
    name: "Kiln",
    group: "kiln",
    room: "studio",
    hazard: "low",
    alone: "fine",
    price: 4300,
    address: 57,
    minutes: 300,
    sigma: 0.12,
    duty: 0.63,
    setUp: 1,
    circuit: "50A",
  },
];

/** The small band saw's station was given another address in the second spring. */
export const movedStation = { machine: "band-saw-2", address: 43, afterShare: 0.62 } as const;

/** The dust collector has no station: it runs with any of the machines that carry a dust load, and a little longer. */
export const dustCollector = {
  id: "dust-collector",
  name: "Dust collector",
  room: "wood",
  runOnSeconds: 30,
  price: 2100,
} as const;
/** The compressor has an hour meter and nothing else. */
export const compressor = { id: "compressor", name: "Compressor", room: "metal", meter: 3310.4, price: 2700 } as const;

export const addressText = (address: number) => String(address).padStart(3, "0");

/** May nobody use it with nobody else about? `never` or, where nothing is set, a high hazard. */
export const isNeverAlone = (machine: Machine) =>
  machine.alone === "never" || (machine.alone === undefined && machine.hazard === "high");

export interface Group {
  id: string;
  room: Room;
  /** Turns wished for in an ordinary week at the beginning. */
  weeklyTurns: number;
  /** Growth a year. */
  growth: number;
  /** Mean number of sessions in a turn. */
  sessions: number;
  /** Weight of the evenings and of the weekend against the day. */
  evening: number;
  weekend: number;
  /** Where a member may go instead when every unit is taken. */
  similar?: string;
}

export const groups: Group[] = [
  { id: "table-saw", room: "wood", weeklyTurns: 31, growth: 0.06, sessions: 1.9, evening: 1, weekend: 1.5, similar: "band-saw" },
  { id: "band-saw", room: "wood", weeklyTurns: 22, growth: 0.02, sessions: 1.7, evening: 1, weekend: 1.3 },
  { id: "planer", room: "wood", weeklyTurns: 14, growth: 0.05, sessions: 1.6, evening: 0.8, weekend: 1.6 },
  { id: "jointer", room: "wood", weeklyTurns: 11, growth: 0.05, sessions: 1.5, evening: 0.8, weekend: 1.5 },
  { id: "sander", room: "wood", weeklyTurns: 19, growth: 0, sessions: 1.5, evening: 1, weekend: 1.2 },
  { id: "wood-lathe", room: "wood", weeklyTurns: 15, growth: -0.08, sessions: 1.7, evening: 1.3, weekend: 1 },
  { id: "metal-lathe", room: "metal", weeklyTurns: 14, growth: 0.1, sessions: 1.7, evening: 1.2, weekend: 1 },
  { id: "mill", room: "metal", weeklyTurns: 11, growth: 0.12, sessions: 1.6, evening: 1.2, weekend: 1 },
  { id: "drill-press", room: "metal", weeklyTurns: 25, growth: 0.02, sessions: 1.6, evening: 1, weekend: 1 },
  {
    id: "welder",
    room: "metal",
    weeklyTurns: 12,
    growth: 0.04,
    sessions: 1.8,
    evening: 1.4,
    weekend: 0.9,
    similar: "drill-press",
  },
  { id: "laser", room: "studio", weeklyTurns: 33, growth: 0.18, sessions: 1.8, evening: 1.3, weekend: 1.1 },
  { id: "kiln", room: "studio", weeklyTurns: 3.5, growth: 0, sessions: 1, evening: 0.1, weekend: 1 },
];

/** Use by month, January first: busy winters, quiet summers. */
export const season = [1.15, 1.18, 1.1, 1.0, 0.92, 0.85, 0.72, 0.74, 0.98, 1.05, 1.15, 0.95] as const;

const weekly: Pick<OpeningHours, "staffed" | "member"> = {
  staffed: { mon: ["10:00-13:00"], tue: ["18:00-22:00"], thu: ["18:00-22:00"], sat: ["10:00-16:00"] },
  member: {
    mon: ["14:00-22:00"],
    tue: ["09:00-18:00"],
    wed: ["09:00-22:00"],
    thu: ["09:00-18:00"],
    fri: ["09:00-22:00"],
    sun: ["10:00-18:00"],
  },
};

/** Opening hours with their dated exceptions; `changeDays` are the local days on which the clocks change. */
export function openingHours(firstYear: number, lastYear: number, changeDays: string[]): OpeningHours {
  const exceptions: OpeningHours["exceptions"] = [];
  for (let year = firstYear; year <= lastYear; year += 1) {
    for (const day of ["01-01", "07-01", "12-24", "12-25", "12-26"]) exceptions.push({ date: `${year}-${day}`, closed: true });
    exceptions.push({ date: `${year}-05-17`, staffed: ["10:00-20:00"] });
  }
  // The long night: the eve of every clock change the doors stay open until four.
  for (const day of changeDays) exceptions.push({ date: dayBefore(day), staffed: ["10:00-16:00", "20:00-04:00"] });
  exceptions.sort((a, b) => (a.date < b.date ? -1 : 1));
  return { ...weekly, exceptions };
}

function dayBefore(date: string): string {
  return new Date(Date.parse(`${date}T12:00:00Z`) - 86_400_000).toISOString().slice(0, 10);
}
