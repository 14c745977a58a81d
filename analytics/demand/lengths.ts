// How long turns are, those cut short by locking up taken as only known to be longer.
import type { Random } from "./chance.ts";
import type { Length } from "./measure.ts";
import type { TurnLengths } from "./queue.ts";

/** A turn that ended so shortly before locking up (hours) would have gone on. */
const packingUp = 10 / 60;
const most = 1024;

/**
 * Equally likely lengths, at most 1024: the Kaplan–Meier estimate of how long the unit is taken (Kaplan & Meier 1958), each with the
 * hours of use that belong to it. Mass beyond the longest finished turn goes to the longest of all. Without turns there are none.
 */
export function turnLengths(turns: readonly Pick<Length, "taken" | "used" | "open">[]): TurnLengths {
  const sorted = turns
    .map((turn) => ({ ...turn, isCut: turn.taken >= turn.open - packingUp }))
    .sort((a, b) => a.taken - b.taken || Number(a.isCut) - Number(b.isCut));
  let alive = 1;
  const kept: { taken: number; used: number; until: number }[] = [];
  let sum = 0;
  for (const [index, turn] of sorted.entries()) {
    const isLast = index === sorted.length - 1;
    if (turn.isCut && !isLast) continue;
    const mass = isLast ? alive : alive / (sorted.length - index);
    alive -= mass;
    sum += mass;
    kept.push({ taken: turn.taken, used: turn.used, until: sum });
  }
  const count = Math.min(most, sorted.length);
  const taken = new Float64Array(count);
  const used = new Float64Array(count);
  let at = 0;
  for (let i = 0; i < count; i++) {
    while (at < kept.length - 1 && kept[at]!.until < (i + 0.5) / count) at++;
    taken[i] = kept[at]!.taken;
    used[i] = kept[at]!.used;
  }
  return { taken, used };
}

/** As many, drawn from them with replacement: other turns that could have been seen. */
export function drawnLengths({ taken, used }: TurnLengths, random: Random): TurnLengths {
  const picks = Int32Array.from(taken, () => Math.floor(random() * taken.length));
  return { taken: Float64Array.from(picks, (pick) => taken[pick]!), used: Float64Array.from(picks, (pick) => used[pick]!) };
}

/** Mean hours of use in a turn. */
export const meanUse = ({ used }: TurnLengths): number =>
  used.length > 0 ? used.reduce((sum, one) => sum + one, 0) / used.length : 0;
