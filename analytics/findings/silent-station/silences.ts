// Silences against each station's usual rhythm, with the chance of each: for the rule itself and for slipped addresses.
import { ask, question } from "../../../shared/question.ts";
import type { Asked } from "../rule.ts";
import { boundsOfSpan } from "../rule.ts";

const silencesQuestion = question(import.meta.url, "./silences.sql");
const edgesQuestion = question(import.meta.url, "./edges.sql");

/** How far before a span the habit is learned; without a bound from all of the log. */
const HISTORY_DAYS = 120;

export interface Silence {
  machine: string;
  machineName: string;
  station: string;
  lastHeard: Date;
  /** Null where it lasts. */
  nextHeard: Date | null;
  /** −ln of the chance that a station is silent for so long after being heard. */
  weight: number;
  /** Blocks of six hours in which it should have been heard. */
  blocks: number;
}

interface Row extends Omit<Silence, "lastHeard" | "nextHeard"> {
  fromBlock: number;
  untilBlock: number;
  isOver: boolean;
  heardBlocks: number;
}

export interface Silences {
  silences: Silence[];
  /** How many there might have been. */
  tests: number;
}

/** Half of what the lightest finding weighs: enough to judge by, and few rows. */
export const LEAST_WEIGHT = 5;

/** Silences of at least LEAST_WEIGHT that overlap the span. */
export const silences = (asked: Pick<Asked, "connection" | "zone" | "since" | "until" | "asOf" | "once">): Promise<Silences> =>
  asked.once(`silences ${asked.since?.toISOString()} ${asked.until?.toISOString()}`, () => heardOut(asked));

async function heardOut(asked: Pick<Asked, "connection" | "zone" | "since" | "until" | "asOf">): Promise<Silences> {
  const { connection, zone, asOf } = asked;
  const rows = await ask<Row>(connection, silencesQuestion, {
    ...boundsOfSpan(asked),
    zone,
    history_days: HISTORY_DAYS,
    least: LEAST_WEIGHT,
  });
  if (rows.length === 0) return { silences: [], tests: 0 };
  const edges = await ask<{ station: string; fromBlock: number; lastHeard: Date; nextHeard: Date | null }>(
    connection,
    edgesQuestion,
    {
      zone,
      as_of: asOf,
      silences: JSON.stringify(
        rows.map(({ machine, station, fromBlock, untilBlock }) => ({ machine, station, fromBlock, untilBlock })),
      ),
    },
  );
  const edgeOf = new Map(edges.map((edge) => [`${edge.station} ${edge.fromBlock}`, edge]));
  const found = rows.map(({ fromBlock, untilBlock: _, isOver, heardBlocks: __, ...row }) => {
    const edge = edgeOf.get(`${row.station} ${fromBlock}`)!;
    return { ...row, lastHeard: edge.lastHeard, nextHeard: isOver ? edge.nextHeard : null };
  });
  return { silences: found, tests: rows[0]!.heardBlocks };
}
