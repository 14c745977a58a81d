// Which silences are too long for chance.

/** One beat in so many begins a real silence, as a rule. */
const USUAL_SHARE = 1 / 10_000;

/**
 * The silences beyond chance. Real ones are long, so the line need not move with how many there are: it stays at rate × the usual
 * share, and `expectedFalse` is what that comes to over `tests`, the number of silences there might have been.
 */
export function tooSilent<One extends { weight: number }>(
  silences: readonly One[],
  { rate, tests }: { rate: number; tests: number },
): { threshold: number; expectedFalse: number; silences: One[] } {
  const threshold = rate * USUAL_SHARE;
  return {
    threshold,
    expectedFalse: threshold * tests,
    silences: silences.filter(({ weight }) => Math.exp(-weight) <= threshold),
  };
}
