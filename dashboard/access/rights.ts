// The one table of who may read and do what. Every command and every web route names its need; one without doesn't start.

export const roles = ["maintenance", "board", "safety", "steward"] as const;
export type Role = (typeof roles)[number];

/** What a route or command asks of its visitor, and the roles that have it. */
export const rights = {
  /** Figures by machine, group and whole month: never a badge, a name, or a count under five for the board. */
  "see-use": ["maintenance", "board", "safety", "steward"],
  /** Sessions and anything else by badge or person. */
  "see-members": ["safety", "steward"],
  /** Parts, tasks, records, due dates, spares. */
  "see-service": ["maintenance", "steward"],
  /** Tick a task, tag a machine out, correct a record. */
  "do-service": ["maintenance", "steward"],
  /** Demand, purchases, the year's report. */
  "see-demand": ["maintenance", "board", "steward"],
  /** Findings and what stands behind them. */
  "see-findings": ["safety", "steward"],
  "do-review": ["safety", "steward"],
  /** How the data fares: readings, rejects, silence, clocks. */
  "see-log": ["maintenance", "safety", "steward"],
  /** Sums on figures typed in by the visitor. */
  "do-sums": ["maintenance", "board", "safety", "steward"],
  /** Workshop file, accounts, tokens, backups. */
  "do-setup": ["steward"],
} as const satisfies Record<string, readonly Role[]>;

export type Need = keyof typeof rights;

export const hasRight = (visitor: readonly Role[], need: Need): boolean => rights[need].some((role) => visitor.includes(role));

/** Everything that a visitor of these roles has a right to. */
export const needsOf = (visitor: readonly Role[]): Need[] =>
  (Object.keys(rights) as Need[]).filter((need) => hasRight(visitor, need));
