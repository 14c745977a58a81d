// What the Setup leaf is made of and sends, as the API gives it in JSON.

/** A place in the workshop file: keys and list positions from the top. */
export type Place = readonly (string | number)[];

/** Without a value, what stands at the place is taken away. */
export interface Edit {
  path: Place;
  value?: unknown;
}

export interface FileProblem {
  file: string;
  line: number;
  path: string;
  value: unknown;
  expected: string;
}

export interface KeptVersion {
  version: string;
  file: string;
  until: string;
}

export interface UnclaimedStation {
  station: string;
  sessions: number;
  hours: number;
  firstDay: string;
  lastDay: string;
}

export interface UsualTask {
  id: string;
  first_after?: Record<string, number>;
  every?: Record<string, number>;
  reading?: Record<string, unknown>;
  [word: string]: unknown;
}

/** The words of the file as they stand: whatever somebody wrote, so nothing about them is sure. */
export type Words = Readonly<Record<string, unknown>>;

export interface SetupShown {
  file: string;
  folder: string;
  /** `none`: there is no file yet · `faulty`: it has problems, and the almanac can't be read · `sound`. */
  state: "none" | "faulty" | "sound";
  zone: string;
  text: string;
  mark: string | null;
  problems: FileProblem[];
  words: Words | null;
  profile: { file: string; text: string | null } | null;
  stations: UnclaimedStation[];
  classes: { class: string; tasks: UsualTask[] }[];
  kept: KeptVersion[];
}

export interface ChangedLine {
  sign: "-" | "+" | " ";
  line: number;
  text: string;
}

export interface Looked {
  isWritten: boolean;
  isSame: boolean;
  mark: string | null;
  problems: FileProblem[];
  changes: ChangedLine[][];
}

export interface LogRow {
  line: number;
  local: string;
  station: string;
  event: string | null;
  badge: string | null;
}

export interface LookedAtLog {
  upload: string;
  name: string;
  bytes: number;
  zone: string;
  log: boolean;
  why?: string;
  isOwn?: boolean;
  profile?: string;
  questions?: string[];
  lines?: number;
  stored?: number;
  ignored?: number;
  rejected?: number;
  rejects?: { line: number; text: string; reason: string }[];
  rows?: LogRow[];
}

export interface AccountRow {
  name: string;
  roles: string;
  hasPassword: boolean;
  hasSecondFactor: boolean;
  lastSeen: string | null;
}

export interface TokenRow {
  name: string;
  purpose: string;
  madeAt: string;
  usedAt: string | null;
}

export interface SetupAnswers {
  "setup show": SetupShown;
  "account list": { accounts: AccountRow[] };
  "token list": { tokens: TokenRow[] };
}
