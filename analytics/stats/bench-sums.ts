// Sums from standards and handbooks for parts whose makers print figures: bearings, contactors, cutting tools.
import { ensure, ensurePositive } from "./checks.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";

export interface BearingLife {
  /** Millions of revolutions, and hours, that the given share of such bearings reaches. */
  millionRevs: number;
  hours: number;
  /** Life factor for that share; 1 at 0.9. */
  a1: number;
}

// ISO 281:2007, table 12, from memory; between its rows a straight line over ln(1/reliability)^(2/3), as in its own formula.
const reliabilityTable: readonly (readonly [reliability: number, a1: number])[] = [
  [0.9, 1],
  [0.95, 0.64],
  [0.96, 0.55],
  [0.97, 0.47],
  [0.98, 0.37],
  [0.99, 0.25],
  [0.992, 0.22],
  [0.994, 0.19],
  [0.996, 0.16],
  [0.998, 0.12],
  [0.999, 0.093],
  [0.9995, 0.077],
];

/** ISO 281:2007's a₁. Throws a UsageError outside 0.9 to 0.9995, where the standard has no figure. */
export function bearingReliabilityFactor(reliability: number): number {
  const last = reliabilityTable.at(-1)!;
  ensure(reliability >= 0.9 && reliability <= last[0], "reliability", reliability, `a share from 0.9 to ${last[0]}`);
  const reach = (share: number) => Math.log(1 / share) ** (2 / 3);
  const i = reliabilityTable.findIndex(([share]) => share >= reliability);
  const [share, a1] = reliabilityTable[i]!;
  if (share === reliability) return a1;
  const [shareBefore, a1Before] = reliabilityTable[i - 1]!;
  return a1 + ((a1Before - a1) * (reach(reliability) - reach(share))) / (reach(shareBefore) - reach(share));
}

/**
 * Basic rating life a₁ (C/P)^p of a rolling bearing, p = 3 for ball and 10/3 for roller bearings, loads in kN, at a constant
 * speed. ISO 281:2007; SKF rolling bearings catalogue, Selecting bearing size. Throws a UsageError unless all are above 0.
 */
export function bearingLife({
  dynamicLoadKn,
  loadKn,
  rpm,
  kind,
  reliability = 0.9,
}: {
  dynamicLoadKn: number;
  loadKn: number;
  rpm: number;
  kind: "ball" | "roller";
  reliability?: number | undefined;
}): BearingLife {
  ensurePositive("dynamicLoadKn", dynamicLoadKn);
  ensurePositive("loadKn", loadKn);
  ensurePositive("rpm", rpm);
  ensure(kind === "ball" || kind === "roller", "kind", kind, "ball or roller");
  const a1 = bearingReliabilityFactor(reliability);
  const millionRevs = a1 * (dynamicLoadKn / loadKn) ** (kind === "ball" ? 3 : 10 / 3);
  return { millionRevs, hours: (1e6 * millionRevs) / (60 * rpm), a1 };
}

export interface ContactorLife {
  /** Mean time to dangerous failure B10d/(0.1·n), in years. */
  mttfdYears: number;
  /** The same, at most 100 years, as the standard takes it for a channel. */
  mttfdYearsCapped: number;
  /** B10d/n: the age at which to replace, in years. */
  t10dYears: number;
}

/** Contactor or relay from B10d (operations) and operations a year. ISO 13849-1:2015, annex C.4. Throws unless both are above 0. */
export function contactorLife({ b10d, operationsPerYear }: { b10d: number; operationsPerYear: number }): ContactorLife {
  ensurePositive("b10d", b10d);
  ensurePositive("operationsPerYear", operationsPerYear);
  const t10dYears = b10d / operationsPerYear;
  return { mttfdYears: 10 * t10dYears, mttfdYearsCapped: Math.min(10 * t10dYears, 100), t10dYears };
}

/**
 * Taylor's V·Tⁿ = C from two tests at different speeds; c in the unit of speed, for one minute of life.
 * Throws a UsageError unless all are above 0 and the faster test gave the shorter life. Taylor 1907; Groover, ch. 23.
 */
export function toolLife({ speed, minutes }: { speed: readonly number[]; minutes: readonly number[] }): { n: number; c: number } {
  for (const [name, pair] of [
    ["speed", speed],
    ["minutes", minutes],
  ] as const) {
    ensure(pair.length === 2, name, pair.length, "two values");
    for (const [i, value] of pair.entries()) ensurePositive(`${name}[${i}]`, value);
  }
  const [v1, v2] = speed as [number, number];
  const [t1, t2] = minutes as [number, number];
  ensure(v1 !== v2, "speed[1]", v2, `a speed other than speed[0] = ${v1}`);
  ensure(
    (v1 - v2) * (t2 - t1) > 0,
    "minutes[1]",
    t2,
    `a ${v2 > v1 ? "shorter" : "longer"} life than minutes[0] = ${t1}, at that speed`,
  );
  const n = Math.log(v1 / v2) / Math.log(t2 / t1);
  return { n, c: v1 * t1 ** n };
}

/** Minutes of tool life at a speed. */
export const toolLifeAt = (speed: number, { n, c }: { n: number; c: number }): number => (c / speed) ** (1 / n);

export const bearingLifeNote: MethodNote = {
  help: "rating life of a ball or roller bearing",
  title: "How long does a bearing last?",
  plain: `The hours that nine in ten bearings of this size reach at this load and speed, clean and well greased. Dust and dry grease end most of them far earlier. ${fitCaution}`,
  formula: "L = a₁·(C/P)^p million revolutions; p = 3 ball, 10/3 roller",
  source: "ISO 281:2007",
  example: { dynamicLoadKn: 55.3, loadKn: 10, rpm: 3000, kind: "ball" },
};

export const contactorLifeNote: MethodNote = {
  help: "years to dangerous failure of a contactor or relay from B10d",
  title: "How long does a contactor last?",
  plain: `Mean years until a contactor fails dangerously, from its maker's B10d and how often it switches. Replace it at a tenth of that. Work on it is for licensed electricians. ${fitCaution}`,
  formula: "MTTFd = B10d / (0.1·operations a year)",
  source: "ISO 13849-1:2015, annex C",
  example: { b10d: 1300000, operationsPerYear: 5000 },
};

export const toolLifeNote: MethodNote = {
  help: "Taylor's tool life from two tests: n and C of V·Tⁿ = C",
  title: "How does speed shorten a tool's life?",
  plain: `From two cutting speeds and how long the edge lasted at each, the law for other speeds. ${fitCaution}`,
  formula: "V·Tⁿ = C; n = ln(V₁/V₂)/ln(T₂/T₁)",
  source: "Taylor 1907; Groover, Fundamentals of Modern Manufacturing, ch. 23",
  example: { speed: [180, 110], minutes: [4.25, 35] },
};
