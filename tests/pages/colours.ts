// Colours as numbers: contrast, greys, and what colour-blind eyes get.
import { readFileSync } from "node:fs";

export type Rgb = readonly [number, number, number];
export type Tokens = ReadonlyMap<string, string>;

/** The colours of tokens.css by theme; what the night leaves alone stays as by day. */
export function tokensByTheme(): { day: Tokens; night: Tokens } {
  const css = readFileSync(new URL("../../dashboard/pages/styles/tokens.css", import.meta.url), "utf8");
  const [day, night] = css.split("@media screen and (prefers-color-scheme: dark)");
  const colours = (text: string): [string, string][] =>
    [...text.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map((match) => [match[1]!, match[2]!]);
  const byDay = new Map(colours(day!));
  return { day: byDay, night: new Map([...byDay, ...colours(night!)]) };
}

export const rgbFromHex = (hex: string): Rgb =>
  [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255) as unknown as Rgb;

const linear = (part: number): number => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
const gamma = (part: number): number => (part <= 0.0031308 ? 12.92 * part : 1.055 * part ** (1 / 2.4) - 0.055);

/** Relative luminance. Source: WCAG 2.2, definition of relative luminance (w3.org/TR/WCAG22). */
export const luminance = (rgb: Rgb): number => {
  const [r, g, b] = rgb.map(linear) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};

/** Source: WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05). */
export function contrast(a: string, b: string): number {
  const [light, dark] = [luminance(rgbFromHex(a)), luminance(rgbFromHex(b))].sort((x, y) => y - x);
  return (light! + 0.05) / (dark! + 0.05);
}

/**
 * What eyes without one kind of cone get, in linear RGB. Source: Machado, Oliveira, Fernandes, "A Physiologically-based Model for
 * Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009, matrices for severity 1.0 (figures from memory).
 */
export const blindness: Record<string, readonly number[]> = {
  protanopia: [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
  deuteranopia: [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
  tritanopia: [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.3039],
};

export function seenBy(hex: string, matrix: readonly number[]): Rgb {
  const [r, g, b] = rgbFromHex(hex).map(linear) as [number, number, number];
  return [0, 3, 6].map((at) => {
    const part = matrix[at]! * r + matrix[at + 1]! * g + matrix[at + 2]! * b;
    return gamma(Math.min(1, Math.max(0, part)));
  }) as unknown as Rgb;
}

/** CIE L*: 0 black to 100 white; 5 apart is seen side by side. Source: CIE 15, L* = 116 f(Y/Yn) − 16. */
export function lightness(rgb: Rgb): number {
  const y = luminance(rgb);
  return y > 216 / 24389 ? 116 * Math.cbrt(y) - 16 : (24389 / 27) * y;
}

/** Distance in OKLab × 100. Source: B. Ottosson, "A perceptual color space for image processing", 2020 (bottosson.github.io). */
export function distance(a: Rgb, b: Rgb): number {
  const [l1, a1, b1] = oklab(a);
  const [l2, a2, b2] = oklab(b);
  return 100 * Math.hypot(l1 - l2, a1 - a2, b1 - b2);
}

function oklab(rgb: Rgb): Rgb {
  const [r, g, b] = rgb.map(linear) as [number, number, number];
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}
