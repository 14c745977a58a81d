// What a command is: one description from which the command line, the local hand-over and the web address are all made.
import type { DuckDBConnection } from "@duckdb/node-api";
import { z } from "zod";
import type { Relation } from "../../shared/relation.ts";
import type { Store } from "../../shared/store.ts";
import type { WorkshopFile } from "../../shared/workshop.ts";
import type { Need } from "../access/rights.ts";
import type { Beside } from "../tables/told-beside.ts";

/** One row of an answer, as it stands in JSON. */
export type Row = Record<string, unknown>;

/** An answer: `{...head, [list.name]: list.rows}` in JSON; the list alone in CSV, Arrow and tables. */
export interface Answer {
  head: Record<string, unknown>;
  list?: { name: string; rows: Row[] } | { name: string; relation: Relation };
  /** 1 where the question was answered but the answer is bad news for scripts (`verify`), 2 `check`, 3 `--strict`. */
  exitCode?: 0 | 1 | 2 | 3;
  /** Replaces the table for human readers. */
  text?: string;
  /** What stands around the table for human readers. */
  beside?: Beside;
  /** What the trail says of it beside the command's options: never a badge, a member's name or a secret. Null: nothing happened. */
  trail?: Record<string, unknown> | null;
}

/** Where progress goes; quiet by default. */
export interface Progress {
  update(done: number, total: number, what: string): void;
  end(): void;
}

/** `until` is excluded; an open side reaches as far as the log and the as-of time go. */
export interface Span {
  readonly since: Date | undefined;
  readonly until: Date | undefined;
  readonly asOf: Date;
  /** IANA name. */
  readonly zone: string;
}

/** All that a command may touch. `connection` is its own; `now` and the paths are the caller's. */
export interface Desk {
  readonly store: Store;
  readonly connection: DuckDBConnection;
  readonly workshop: WorkshopFile;
  /** The span asked about, the moment from which it is seen, and the workshop's zone. */
  readonly span: Span;
  /** Whether the as-of time was asked for; lists of what was entered show all of it otherwise. */
  readonly isAsOfAsked: boolean;
  readonly seed: number;
  readonly surroundings: Surroundings;
  /** The form in which a badge number as written is kept in the store. */
  storedBadge(badge: string): string;
}

/** The caller's side of a command: where paths start, what was piped in, who asks, where progress goes. */
export interface Surroundings {
  readonly cwd: string;
  readonly stdin: () => Promise<string>;
  readonly progress: Progress;
  readonly signal: AbortSignal;
  readonly who: string;
  /** Whether people read the answer in a terminal. */
  readonly isForTerminal?: boolean;
  /** Whether a page asks, which has looked at its names itself. */
  readonly isPage?: boolean;
  /** Whether the answer goes to the board. */
  readonly isForBoard?: boolean;
  /** Every command there is, for the ones that run or serve others. */
  readonly commands: readonly Command[];
  /** Pages and HTTP answers are as of now, commands as of the last good event. */
  readonly asOfDefault: "now" | "last-event";
}

export interface Common {
  workshop: string;
  store: string;
  json: boolean;
  asOf?: string | undefined;
  since?: string | undefined;
  until?: string | undefined;
  seed: number;
}

/** The options that every command takes. */
export const common = z.object({
  workshop: z.string().default("workshop.yaml").describe("the workshop file").meta({ placeholder: "FILE" }),
  store: z.string().default("almanac.duckdb").describe("the store").meta({ placeholder: "FILE" }),
  json: z.boolean().default(false).describe("answer as JSON"),
  asOf: z
    .string()
    .optional()
    .describe("answer as if nothing after this were known; 'now' is allowed")
    .meta({ placeholder: "TIME" }),
  since: z.string().optional().describe("from this time or day on").meta({ placeholder: "TIME" }),
  until: z.string().optional().describe("until this time (excluded) or day (included)").meta({ placeholder: "TIME" }),
  seed: z.coerce.number().int().min(0).default(1).describe("seed where chance is used").meta({ placeholder: "N" }),
});

/** A yes-or-no option: a bare flag on the command line, `true`/`false` over the web. */
export const flag = (description: string) =>
  z.boolean().or(z.stringbool()).default(false).describe(description).meta({ type: "boolean" });

/** What must be at hand before a command runs. `reads`: a store that isn't there yet is answered as an empty one. */
export type Needs = "nothing" | "reads" | "writes";

interface Described<Shape extends z.ZodRawShape> {
  /** As typed: `hours`, or `service add`. */
  readonly name: string;
  readonly summary: string;
  readonly examples: readonly string[];
  /** What help says besides, looked up only when help is asked for. */
  readonly moreHelp?: () => Promise<string>;
  /** Operands in the command line's own notation (`<files...>`); each is an option of the same name. */
  readonly operands?: string;
  readonly options: z.ZodObject<Shape>;
  /** Whether it reads standard input (a hand-over must carry it along); a secret is asked for unseen at a terminal. */
  readonly readsStdin?: boolean | "secret";
  /** The web address under /api/v1/ where it is not the first word of the name (`calc/:method`). */
  readonly path?: string;
  /** The web method, where it is there at all. */
  readonly http?: "GET" | "POST";
  /** What a visitor must be allowed to, one row of the table in access/rights.ts. */
  readonly need: Need;
  /** How the board is answered where it may ask at all; `same`: there is nothing about members in it. */
  readonly forBoard?: ForBoard | "same";
}

/** The board's own answer: other options than the rest have, and rows of whole months whose counts under five are held back. */
export interface ForBoard {
  readonly options: z.ZodObject;
  run(desk: Desk, options: Record<string, unknown>): Promise<Answer>;
}

type Parsed<Shape extends z.ZodRawShape> = z.infer<z.ZodObject<Shape>>;

export interface StoreCommand<Shape extends z.ZodRawShape = z.ZodRawShape> extends Described<Shape> {
  readonly needs: "reads" | "writes";
  /** Answers also where there is no workshop file, or one with problems: the desk's is then blank, and nothing is derived. */
  readonly goesWithoutWorkshop?: true;
  run(desk: Desk, options: Parsed<Shape>): Promise<Answer>;
}

export interface PlainCommand<Shape extends z.ZodRawShape = z.ZodRawShape> extends Described<Shape> {
  readonly needs: "nothing";
  /** It concerns the store as a whole: where another process holds it, it is done there, on that process's open store. */
  readonly atHolder?: true;
  run(surroundings: Surroundings, options: Parsed<Shape> & Common, held?: Store): Promise<Answer>;
}

export type Command = StoreCommand | PlainCommand;

/** The command of that name; the caller has the name from the list. */
export function commandNamed(commands: readonly Command[], name: string): Command {
  const found = commands.find((command) => command.name === name);
  if (!found) throw new Error(`no command is named ${name}`);
  return found;
}

/** Ties the options of the board's answer to its `run` likewise. */
export const forBoard = <Shape extends z.ZodRawShape>(answer: {
  options: z.ZodObject<Shape>;
  run(desk: Desk, options: Parsed<Shape>): Promise<Answer>;
}): ForBoard => answer as unknown as ForBoard;

/** Ties the options' types to `run`, then forgets them so that all commands stand in one list. */
export const storeCommand = <Shape extends z.ZodRawShape>(command: StoreCommand<Shape>): Command => command as unknown as Command;
export const plainCommand = <Shape extends z.ZodRawShape>(command: PlainCommand<Shape>): Command => command as unknown as Command;
