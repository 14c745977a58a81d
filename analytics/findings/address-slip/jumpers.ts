// Two addresses and the jumpers between them.

/** The address that a station's name spells, null where it spells none of that many jumpers. */
export function addressOf(station: string, bits: number): number | null {
  if (!/^\d+$/.test(station)) return null;
  const address = Number(station);
  return address < 2 ** bits ? address : null;
}

/** The worth (1, 2, 4, …) of the one jumper in which two addresses differ; null where it is none, or more than one. */
export function jumperBetween(a: string, b: string, bits: number): number | null {
  const [one, other] = [addressOf(a, bits), addressOf(b, bits)];
  if (one === null || other === null) return null;
  // Beyond 31 jumpers bitwise sums would wrap; no board has so many.
  const differs = (one ^ other) >>> 0;
  return differs !== 0 && (differs & (differs - 1)) === 0 ? differs : null;
}
