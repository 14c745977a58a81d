// The one table of who may read and do what. Every command and every web route names its need in it; one without doesn't start.

/** What an account may be; one person may be several. */
export const roles = ["maintenance", "board", "safety", "steward"] as const;
export type Role = (typeof roles)[number];

/** Who can come to the door: accounts by role, an enrolled phone, a token of one purpose. */
export const holders = [...roles, "bench", "source", "calendar"] as const;
export type Holder = (typeof holders)[number];

/** What a route or command asks of its visitor, and who has it. `anyone` has not even signed in. */
export const rights = {
  /** Sign-in, enrolment links, style sheets and scripts: nothing of the workshop. */
  anyone: ["anyone"],
  /** The frame of the pages, what the visitor may do, that something changed. */
  "come-in": ["maintenance", "board", "safety", "steward", "bench"],
  /** One's own password, second factor and visits. */
  "own-account": ["maintenance", "board", "safety", "steward"],
  /** Figures by machine, group and whole month: never a badge, a name, or a count under five for the board. */
  "see-use": ["maintenance", "board", "safety", "steward"],
  /** Sessions and anything else by badge or person. */
  "see-members": ["safety", "steward"],
  /** Parts, tasks, records, due dates, spares. */
  "see-service": ["maintenance", "steward", "bench"],
  /** Tick a task, tag a machine out, correct a record. */
  "do-service": ["maintenance", "steward", "bench"],
  /** Due dates as a calendar. */
  "see-calendar": ["maintenance", "steward", "calendar"],
  /** Demand, purchases, the year's report. */
  "see-demand": ["maintenance", "board", "steward"],
  /** Findings and what stands behind them. */
  "see-findings": ["safety", "steward"],
  "do-review": ["safety", "steward"],
  /** How the data fares: readings, silence, clocks, coverage. */
  "see-log": ["maintenance", "safety", "steward"],
  /** Lines as they stand in the log, badges included. */
  "see-lines": ["safety", "steward"],
  /** Events as they happen, in. */
  "send-events": ["source"],
  /** Sums on figures typed in by the visitor. */
  "do-sums": ["maintenance", "board", "safety", "steward"],
  /** Let a phone at the bench in, and send it away. */
  "enrol-bench": ["maintenance", "steward"],
  /** Who saw member data and who changed what. */
  "see-trail": ["steward"],
  /** Workshop file, accounts, tokens, backups. */
  "do-setup": ["steward"],
} as const satisfies Record<string, readonly (Holder | "anyone")[]>;

export type Need = keyof typeof rights;
export const needs = Object.keys(rights) as Need[];

/** What shows single members: who looked is kept in the trail. */
export const memberNeeds: ReadonlySet<Need> = new Set<Need>(["see-members", "see-findings", "see-lines"]);

const holdersOf = (need: Need): readonly string[] => rights[need];

export const hasRight = (visitor: readonly Holder[], need: Need): boolean =>
  holdersOf(need).includes("anyone") || visitor.some((holder) => holdersOf(need).includes(holder));

/** Whether it is the board alone that lets this visitor have it: then the answer is the board's. */
export const isBoards = (visitor: readonly Holder[], need: Need): boolean =>
  holdersOf(need).includes("board") &&
  visitor.includes("board") &&
  !visitor.some((holder) => holder !== "board" && holdersOf(need).includes(holder));

/** Everything that this visitor has a right to. */
export const needsOf = (visitor: readonly Holder[]): Need[] => needs.filter((need) => hasRight(visitor, need));
