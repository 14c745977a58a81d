// The answers that pages are made of, as the API gives them in JSON.

import type { Range } from "../../../shared/errors.ts";
import type { RoundRow } from "../leaves/rounds.tsx";
import type { ServiceAnswers } from "../service/answers.ts";
import type { SetupAnswers } from "../setup/answers.ts";

/** What can't be told is null, in whole or at an end. */
export interface MaybeRange {
  low: number | null;
  best: number | null;
  high: number | null;
}

/** The workshop's own calendar: local days are told by the server, never worked out in a browser. */
export interface Calendar {
  workshop: string;
  zone: string;
  /** Whether there is a sound workshop file; else `workshop` and `zone` stand in for it. */
  isSetUp: boolean;
  /** Why the workshop file that is there can't be used; the board isn't told. */
  trouble?: string | null;
  /** How badges are kept, and for how many months; null where no limit is set. */
  badgesAre: "hashed" | "kept";
  keepBadgesMonths: number | null;
  /** The moment of the answer. */
  now: string;
  /** Today at the workshop, YYYY-MM-DD, and its clock, HH:MM. */
  today: string;
  clock: string;
  /** First and last good event, null where the log is empty; their local day and the clock of the last. */
  firstEvent: string | null;
  lastEvent: string | null;
  firstDay: string | null;
  lastDay: string | null;
  lastClock: string | null;
}

export interface Machine {
  machine: string;
  name: string;
  group: string;
  room: string | null;
  hazard: string;
  kind: string;
  stations: string[];
  from: string | null;
  until: string | null;
  claimed: boolean;
}

export interface HoursRow {
  machine: string;
  from: string;
  until: string;
  /** The local day on which the bucket starts; null where the bucket is the whole span or an hour of the week. */
  day: string | null;
  hourOfWeek?: number;
  sessions: number | null;
  openSessions: number | null;
  starts: number | null;
  members: number | null;
  enabledHours: MaybeRange;
  runHours: MaybeRange;
  /** Held back in whole or part, since too few members stand behind it. */
  suppressed?: boolean;
  /** Of driven machines: the drivers' hours weighted by what they send. */
  loadHours?: MaybeRange | null;
}

/** How an answer was come by, in words that can be checked. */
export interface Workings {
  formula: string;
  inputs: Readonly<Record<string, string | number>>;
  /** The files of the questions or functions. */
  queries: readonly string[];
  notes: readonly string[];
}

export interface InUse {
  inUse: number;
  hours: number;
}

export interface Occupied {
  group?: string;
  room?: string;
  /** Null, as the others, where held back from the board. */
  units: number | null;
  peak: number | null;
  peakAt: string | null;
  /** Empty for the board. */
  hoursByInUse: InUse[];
  openHours: number | null;
  fullShare: number | null;
}

export interface Session {
  machine: string;
  station: string;
  badge?: string | null;
  start: string;
  end: string | null;
  endBest: string;
  ended: string;
  hours: MaybeRange;
}

/** A reason why lines were rejected, values at fault left out of it, with the first of them. */
export interface RejectReason {
  reason: string;
  field: string | null;
  rejects: number;
  files: number;
  lines: { file: string; line: number; text: string; reason: string }[];
}

export interface Reading {
  file: string;
  readAt: string;
  /** By the workshop's clock: YYYY-MM-DD and HH:MM. */
  readDay: string;
  readClock: string;
  lines: number;
  stored: number;
  duplicates: number;
  ignored: number;
  blank: number;
  rejected: number;
  repaired: number;
}

export interface Cause {
  kind: string;
  fromLow: string;
  fromBest: string;
  fromHigh: string;
  until: string | null;
  stations: string[];
  text: string;
  /** By the workshop's clock: the day of `fromBest`, and the times of the others. */
  day: string;
  clockLow: string;
  clockHigh: string;
  clockUntil: string | null;
}

/** The last backup; `madeDay` by the workshop's clock. */
export interface Backup {
  madeAt: string;
  madeDay: string;
}

export interface Covered {
  station: string;
  day: string;
  events: number;
  alive: number;
}

/** A stretch of one local day, in hours of the workshop's clock. */
export interface DayStretch {
  day: string;
  from: number;
  until: number;
}

export interface ReviewSaid {
  state: string;
  note: string | null;
  by: string;
}

export interface SafetyFinding {
  id: string;
  rule: string;
  severity: string;
  machine: string | null;
  group: string | null;
  room: string | null;
  station: string | null;
  badge: string | null;
  fromDay: string;
  fromHours: number;
  untilDay: string;
  untilHours: number;
  expectedFalse: number;
  evidence: { text: string; unknown: string; figures: Record<string, number | string | null> };
  state: string;
  near: {
    machine: string;
    machineName: string;
    badge: string | null;
    from: { day: string; hours: number };
    until: { day: string; hours: number };
    ended: string;
  }[];
}

/** How long sessions on a machine are, in minutes; fences respect skew. */
export interface LengthStrip {
  machine: string;
  name: string;
  sessions: number;
  medianMinutes: number;
  lowerMinutes: number | null;
  upperMinutes: number | null;
  /** 10, 25, 75, 90 and 99 % are shorter. */
  quantiles: number[];
}

export interface Safety {
  asOf: string;
  open: (DayStretch & { state: string })[];
  stretches: (DayStretch & { id: string; rule: string })[];
  lengths: LengthStrip[];
  permissions: {
    badge: string;
    person: string;
    name: string | null;
    role: string;
    machines: string[];
    validUntil: string;
    sessions: number;
  }[];
  expectedFalse: Record<string, number>;
  /** Findings of the span that the list leaves out. */
  hidden: number;
  findings: SafetyFinding[];
}

/** A figure, or that there are too few data for it. */
export type Told = Range | { insufficient: { have: number; need: number } };

export interface Wanted {
  hourOfWeek: number;
  arrivals: Range;
  openHours: number;
}

export interface GroupDemand {
  group: string;
  units: number;
  arrivalsPerOpenHour: Told;
  turnedAwayPerMonth: Told;
  hoursGainedPerMonth: Told;
  costPerHourGained: { low: number; best: number; high: number | null } | { insufficient: { have: number; need: number } } | null;
  waitHoursPerMonth: Told;
  useHoursPerMonth: Told;
  openHours: number;
  price: number | null;
  lifeYears: number;
  needs: { need: string; value: boolean | number | string; presentAt: string[] }[];
  upkeepPerHour: number | null;
  withMore: { add: number; turnedAwayPerMonth: Told; waitHoursPerMonth: Told };
  withChange: {
    turnedAwayPerMonth: Told;
    waitHoursPerMonth: Told;
    foundNonePerMonth: Told;
    turnsPerMonth: Told;
    hoursGainedPerMonth: Told;
  } | null;
  /** Empty for the board. */
  byHourOfWeek: Wanted[];
  turnHours: Range | null;
  ladders: { asIs: InUse[]; withMore: InUse[] } | null;
  queueEvidence: {
    handOvers: number;
    handOversByChance: number;
    excess: Range;
    servedShare: number | null;
    lengthWhenHandedOver: Range | null;
    elsewhere: { group: string; turns: number; byChance: number; excess: Range }[];
  } | null;
}

export interface DemandTold {
  from: string | null;
  until: string | null;
  /** By the workshop's clock. */
  fromDay: string | null;
  untilDay: string | null;
  currency: string | null;
  patienceMinutes: number;
  patienceFrom: "log" | "asked";
  groups: GroupDemand[];
  ranking: string[];
  ties: string[][];
  comparisons: { better: string; worse: string; chance: number; flipsAtPatience: number | null }[];
  budget: { amount: number; choices: { groups: string[]; price: number; hoursGainedPerMonth: Range }[] } | null;
  workings: Workings;
}

export interface Answers extends ServiceAnswers, SetupAnswers {
  safety: Safety;
  calendar: Calendar;
  rounds: { today: string; toDo: number; rounds: RoundRow[] };
  machines: { machines: Machine[] };
  /** `notes` are what should be put right, in words. */
  hours: { asOf: string; notes: string[]; workings: Workings; rows: HoursRow[] };
  demand: DemandTold;
  training: {
    machines: {
      machine: string;
      name: string;
      /** Null, as the others, where held back from the board. */
      refusals: number | null;
      refusedMembers?: number;
      trained?: number;
      neverSeen?: number;
      runningOut?: number;
      trend?: Range | null;
      suppressed?: boolean;
    }[];
  };
  reach: {
    machines: { machine: string; members: number | null; busiest?: number; busiestShare: number | null; suppressed?: boolean }[];
  };
  occupancy: { groups: Occupied[]; rooms: Occupied[]; shop: { peakPeople: number | null; peakAt: string | null } };
  sessions: { workings: Workings; sessions: Session[] };
  /** Asked by reason. */
  rejects: { reasons: RejectReason[] };
  log: {
    backup: Backup | null;
    readings: Reading[];
    causes: Cause[];
    coverage: Covered[];
    firstEvent: string | null;
    lastEvent: string | null;
  };
}

export type { Range };
