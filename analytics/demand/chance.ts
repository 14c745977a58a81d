// Chance with a seed, fast enough for a million draws a second.

/** Uniform in [0, 1). */
export type Random = () => number;

/** sfc32 (Chris Doty-Humphrey's small fast counter generator, PractRand), started from a whole number and a stream's number. */
export function randomFrom(seed: number, stream = 0): Random {
  let a = seed | 0;
  let b = stream | 0;
  let c = 0x9e3779b9 | 0;
  let counter = 1;
  const next = (): number => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + sum) | 0;
    return (sum >>> 0) / 4_294_967_296;
  };
  for (let i = 0; i < 15; i++) next();
  return next;
}

export const exponential = (random: Random): number => -Math.log(1 - random());

/** Standard normal by Marsaglia's polar method (Marsaglia & Bray, SIAM Review 6, 1964); one of the two is thrown away. */
export function normal(random: Random): number {
  for (;;) {
    const a = 2 * random() - 1;
    const b = 2 * random() - 1;
    const square = a * a + b * b;
    if (square > 0 && square < 1) return a * Math.sqrt((-2 * Math.log(square)) / square);
  }
}

/** Gamma of this shape and scale 1; 0 at shape 0. Marsaglia & Tsang, ACM TOMS 26 (2000). */
export function gamma(shape: number, random: Random): number {
  if (shape <= 0) return 0;
  if (shape < 1) return gamma(shape + 1, random) * (1 - random()) ** (1 / shape);
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normal(random);
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(1 - random()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
  }
}
