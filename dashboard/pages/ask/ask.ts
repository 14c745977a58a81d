// How a leaf asks: the same commands, in this process on the server, over the web in a browser.
import type { Answers } from "./answers.ts";

export type Params = Readonly<Record<string, string | undefined>>;

/** Answers a command, or throws Refused where the visitor has no right to it, NotAnswered where it failed. */
export type Ask = <Name extends keyof Answers>(command: Name, params?: Params) => Promise<Answers[Name]>;

/** The visitor has no right to this answer; a leaf leaves out what hangs on it and says so. */
export class Refused extends Error {
  readonly command: string;
  constructor(command: string) {
    super(`${command}: not for this visitor`);
    this.name = "Refused";
    this.command = command;
  }
}

/** The server said no, in words meant for the reader, or could not be reached. */
export class NotAnswered extends Error {
  readonly status: number | null;
  constructor(message: string, status: number | null, cause?: unknown) {
    super(message, cause === undefined ? undefined : { cause });
    this.name = "NotAnswered";
    this.status = status;
  }
}

/** The answer, or null where the visitor has no right to it. */
export async function unlessRefused<T>(answer: Promise<T>): Promise<T | null> {
  try {
    return await answer;
  } catch (error) {
    if (error instanceof Refused) return null;
    throw error;
  }
}

/** Addresses that are not a command's first word. */
const elsewhere: Readonly<Record<string, string>> = { "account list": "account/list" };

/** `/api/v1/hours?by=week`, parameters in the order given, those without a value left out. `service list` is at `service`. */
export function addressOf(command: string, params: Params = {}): string {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(params)) if (value !== undefined) query.set(name, value);
  const text = query.toString();
  return `/api/v1/${elsewhere[command] ?? command.split(" ")[0]}${text ? `?${text}` : ""}`;
}

/** Works one of the sums of `calc` on typed figures; NotAnswered with 400 or 422 where the figures don't do. */
export type Sum = (method: string, input: unknown) => Promise<Record<string, unknown>>;

/** All that a leaf can ask. */
export interface Asker {
  ask: Ask;
  sum: Sum;
}
