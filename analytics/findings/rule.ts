// What a rule of `findings` is: a query, a pure judgement, a sentence of evidence. One folder a rule.
import type { DuckDBConnection } from "@duckdb/node-api";
import type { FindingRule } from "../../shared/finding-rules.ts";
import type { FindingSwitch } from "../../shared/findings-switches.ts";

export const SEVERITIES = ["low", "medium", "high", "grave"] as const;
export type Severity = (typeof SEVERITIES)[number];

/** What the workshop file may set for a rule, the rule's own defaults filled in. */
export type Knobs = Omit<FindingSwitch, "on">;
type Set<K extends keyof Knobs> = { [Name in K]-?: NonNullable<Knobs[Name]> };

/** What a rule is asked. It answers with all that overlaps the span, unclipped, as it was known at the as-of time. */
export interface Asked<K extends keyof Knobs = never> {
  readonly connection: DuckDBConnection;
  /** IANA name of the workshop's time zone. */
  readonly zone: string;
  /** Nothing behind this is known; tables of events have to be cut by it, sessions and motors already are. */
  readonly asOf: Date;
  /** `until` is excluded; an open side reaches as far as the log goes. */
  readonly since: Date | undefined;
  readonly until: Date | undefined;
  readonly workshop: {
    /** Whether opening hours are given; without them nothing is ever closed. */
    readonly hasHours: boolean;
    /** Whether a roster is given; without it nobody is unlisted. */
    readonly hasRoster: boolean;
    /** How many jumpers set a station's address, where it is told. */
    readonly addressBits: number | null;
  };
  readonly knobs: Knobs & Set<K>;
  /** What another rule is set to, its defaults filled in; null where it is switched off. */
  knobsOf(name: FindingRule): Knobs | null;
  readonly seed: number;
  /** Work that rules of one run share, done once: `once("motors", () => ask(…))`. Its name tells every knob it depends on. */
  once<T>(name: string, work: () => Promise<T>): Promise<T>;
}

export type Figure = number | string | null;

/** One finding, before it has an id, a machine's group and a review. */
export interface Found {
  /**
   * What makes it this finding and no other within its rule: `21 2025-03-04T21:10:00Z`. It must come out the same when the logs
   * are read again; a small shift of `from` is forgiven where place and time still meet what was reviewed.
   */
  key: string;
  machine: string | null;
  /** Filled in from the machine where null. */
  group: string | null;
  room: string | null;
  station: string | null;
  badge: string | null;
  from: Date;
  /** Not before `from`; the same for what happened at one instant. */
  until: Date;
  /** Where this one is graver or slighter than its rule. */
  severity?: Severity;
  /** −log10 of the tail probability; null for exact rules. */
  score: number | null;
  /** False flags to expect from this rule over the span: the same on each of its findings; 0 for exact rules. */
  expectedFalse: number;
  evidence: {
    /** What the log shows, in a sentence or two that accuse nobody. */
    text: string;
    /** What the log can't know. */
    unknown: string;
    figures: Record<string, Figure>;
  };
}

export interface Rule {
  readonly name: FindingRule;
  /** Counts up when the same log comes to other findings. */
  readonly version: number;
  readonly severity: Severity;
  /** What it flags, for readers of the list. */
  readonly summary: string;
  readonly defaults: Knobs;
  /** Why the thresholds are what they are. */
  readonly why: string;
  /** Figures of the evidence whose change brings a reviewed finding back; all of them where not given. */
  readonly weighty?: readonly string[];
  /** Hardware in earnest is looked at after each live batch. */
  readonly isUrgent?: boolean;
  find(asked: Asked): Promise<Found[]>;
}

/** Ties the rule's knobs to its defaults, then forgets them so that all rules stand in one list. */
export const rule = <K extends keyof Knobs>(
  own: Omit<Rule, "defaults" | "find"> & {
    defaults: Set<K>;
    find(asked: Asked<K>): Promise<Found[]>;
  },
): Rule => own as unknown as Rule;

/** What an exact rule's findings have in common: no chance in them, no group and room but the machine's. */
export const EXACT = { group: null, room: null, score: null, expectedFalse: 0 } as const;

/** What every question of a rule takes: the span's bounds and the as-of time, as they are bound. */
export const boundsOfSpan = ({ since, until, asOf }: Pick<Asked, "since" | "until" | "asOf">) => ({
  since: since ?? null,
  until: until ?? null,
  as_of: asOf,
});
