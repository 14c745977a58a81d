// Silences that are explained by an unused address one jumper away that spoke meanwhile.
import { ask, question } from "../../../shared/question.ts";
import type { Asked } from "../rule.ts";
import { jumperBetween } from "./jumpers.ts";

const strangersQuestion = question(import.meta.url, "./strangers.sql");

interface Stranger {
  station: string;
  from: Date;
  until: Date;
  firstHeard: Date;
  lastHeard: Date;
  lines: number;
  firstSequence: number | null;
}

export interface Slip<Silence> {
  silence: Silence;
  /** The address it speaks under instead. */
  station: string;
  /** Worth of the jumper: 1, 2, 4, … */
  jumper: number;
  firstHeard: Date;
  lastHeard: Date;
  lines: number;
}

/**
 * Of each silence the unused address one jumper away that spoke within it and only within it: if it spoke before or after as well,
 * it is a station of its own. The one with the most lines where there are several.
 */
export async function slippedAddresses<Silence extends { station: string; lastHeard: Date; nextHeard: Date | null }>(
  { connection, asOf, workshop }: Pick<Asked, "connection" | "asOf" | "workshop">,
  silences: readonly Silence[],
): Promise<Slip<Silence>[]> {
  const bits = workshop.addressBits;
  if (bits === null || silences.length === 0) return [];
  const day = 86_400_000;
  const end = ({ nextHeard }: Silence) => nextHeard ?? new Date(asOf.getTime() + 1);
  const widened = (one: Silence) => ({
    from: new Date(one.lastHeard.getTime() - day).toISOString(),
    until: new Date(end(one).getTime() + day).toISOString(),
  });
  const rows = await ask<Stranger>(connection, strangersQuestion, {
    spans: JSON.stringify(silences.map(widened)),
    as_of: asOf,
  });
  return silences.flatMap((silence) => {
    const span = widened(silence);
    const [best] = rows
      .filter(({ from, until }) => from.toISOString() === span.from && until.toISOString() === span.until)
      // A minute, for lines that came late.
      .filter(
        ({ firstHeard, lastHeard }) =>
          firstHeard.getTime() >= silence.lastHeard.getTime() - 60_000 && lastHeard.getTime() <= end(silence).getTime() + 60_000,
      )
      .map((row) => ({ ...row, jumper: jumperBetween(silence.station, row.station, bits) }))
      .filter(({ jumper }) => jumper !== null)
      .sort((a, b) => b.lines - a.lines);
    if (best === undefined) return [];
    const { station, jumper, firstHeard, lastHeard, lines } = best;
    return [{ silence, station, jumper: jumper!, firstHeard, lastHeard, lines }];
  });
}
