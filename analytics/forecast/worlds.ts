// Chance, evenly spread: each world has its place on every scale, and which place goes with which is drawn from a seed.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";

/** Mulberry32: a small generator whose seed is one whole number. */
export function generator(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A whole number that a text and a seed come to (FNV-1a). */
export function seedFrom(text: string, seed: number): number {
  let hash = 0x811c9dc5 ^ seed;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash;
}

const grids = new Map<number, Float64Array>();

function gridOf(worlds: number): Float64Array {
  const known = grids.get(worlds);
  if (known !== undefined) return known;
  const made = Float64Array.from({ length: worlds }, (_, i) => normalQuantile((i + 0.5) / worlds, 0, 1));
  grids.set(worlds, made);
  return made;
}

/** One standard normal figure for each world: the evenly spread quantiles, in an order that text and seed decide. */
export function normals(worlds: number, text: string, seed: number): Float64Array {
  const random = generator(seedFrom(text, seed));
  const shuffled = gridOf(worlds).slice();
  for (let i = shuffled.length - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    const held = shuffled[i]!;
    shuffled[i] = shuffled[j]!;
    shuffled[j] = held;
  }
  return shuffled;
}
