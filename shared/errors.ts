// How anything says that it can't: misuse is an exception with a field, a value and what would do; too little data is an answer.

/** Where a wrong word was typed and what would do instead; becomes `{"error":{…}}`, a sentence, or problem JSON. */
export interface Complaint {
  field: string;
  value: unknown;
  expected: string;
  file?: string;
  line?: number;
  /** The whole sentence, where "field value: expected …" would read badly. */
  message?: string;
}

/** Bad usage, workshop file, profile, calc input or a file that can't be opened: exit code 2, HTTP 400. Nothing was stored. */
export class UsageError extends Error {
  readonly complaint: Complaint;
  constructor(complaint: Complaint) {
    super(sentenceFromComplaint(complaint));
    this.name = "UsageError";
    this.complaint = complaint;
  }
}

/** What was asked for meets something that is there already, which `known` carries: exit code 2, HTTP 409. Nothing was stored. */
export class ConflictError extends UsageError {
  readonly known: Record<string, unknown>;
  constructor(complaint: Complaint, known: Record<string, unknown>) {
    super(complaint);
    this.name = "ConflictError";
    this.known = known;
  }
}

/** The work itself failed (damaged store, port taken, truncated archive): exit code 1. Nothing of it was kept. */
export class FailedError extends Error {
  readonly complaint: Complaint;
  constructor(complaint: Complaint, cause?: unknown) {
    super(sentenceFromComplaint(complaint), cause === undefined ? undefined : { cause });
    this.name = "FailedError";
    this.complaint = complaint;
  }
}

/** `log.csv line 412: time "31/02/2025 09:00" is no date; expected dd/mm/yyyy hh:mm:ss` */
export function sentenceFromComplaint({ field, value, expected, file, line, message }: Complaint): string {
  if (message !== undefined) return message;
  const place = file === undefined ? "" : line === undefined ? `${file}: ` : `${file} line ${line}: `;
  const shown = value === undefined || value === null ? "" : ` ${JSON.stringify(value)}`;
  return `${place}${field}${shown}: expected ${expected}`;
}

/** Too little data for a figure; sibling functions give it in place of the figure, never an exception. */
export interface Insufficient {
  insufficient: { have: number; need: number };
}

export const insufficient = (have: number, need: number): Insufficient => ({ insufficient: { have, need } });

export const isInsufficient = (answer: unknown): answer is Insufficient =>
  typeof answer === "object" && answer !== null && "insufficient" in answer;

/** Low, best and high of one figure. Of a sum or forecast: 10 %, mean, 90 %. Of one session: hard bounds and conditional median. */
export interface Range {
  low: number;
  best: number;
  high: number;
}
