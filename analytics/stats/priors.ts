// What is believed of a part's life before its own lives are known, by class of part. The only place where such numbers stand.

/** A belief on the log scale: half of it above the median, about two thirds within a factor e^logSd either way. */
export interface LogNormalBelief {
  median: number;
  logSd: number;
}

/** The unit in which a class of part ages. */
export type LifeUnit = "hours" | "load-hours" | "starts" | "days" | "use-days" | "cycles";

export interface LifePrior {
  class: string;
  /** False for the wide general belief, given where the class is unknown or ages in another unit. */
  isOwn: boolean;
  unit: LifeUnit;
  shape: LogNormalBelief;
  /** In `unit`. */
  scale: LogNormalBelief;
  /** Where the numbers come from: common practice, or a named source. Never a maker's word about one machine. */
  source: string;
}

interface Typed {
  shape: readonly [median: number, logSd: number];
  scale: readonly [median: number, logSd: number];
  unit?: LifeUnit;
  source: string;
}

// Shapes: things that wear by rubbing and cutting 2–3, lubricants and filters that clog 2–3, bearings 1.5 (ISO 281:1990),
// electrical and electronic parts nearer 1; within a factor e^0.5, so that a belief wrong by two gives way to ten lives
// (tests/score-lives.md). Scales are wide on purpose: no published table covers a shop's own wood and hands.
const typed: Record<string, Typed> = {
  "saw-blade": {
    shape: [2.5, 0.5],
    scale: [40, 1],
    source:
      "common practice for a carbide circular saw blade between sharpenings; a sawmill's inserted-tooth saw lasts a third of a day",
  },
  "band-saw-blade": {
    shape: [2, 0.5],
    scale: [30, 1.1],
    source: "common practice for a shop band on dry stock; a sawmill band is changed about every 1.5 h of cutting",
  },
  "planer-knives": {
    shape: [2.5, 0.5],
    scale: [30, 1.1],
    source:
      "common practice for steel knives in dry stock; no public handbook figure in hours, carbide lasts up to ten times as long",
  },
  cutter: {
    shape: [2, 0.5],
    scale: [25, 1.1],
    source: "common practice for router and shaper cutters in steel; single cases 1.5 to 8 h in silica-rich hardwood",
  },
  "drill-bit": {
    shape: [2, 0.5],
    scale: [15, 1.1],
    source: "common practice; Taylor's law shows how steeply life falls with speed",
  },
  "sanding-belt": {
    shape: [2, 0.5],
    scale: [6, 1.2],
    source: "abrasive practice: from minutes in heavy to many hours in light work, no handbook figure",
  },
  "grinding-wheel": { shape: [2, 0.5], scale: [80, 1], source: "common practice" },
  belt: {
    shape: [2.5, 0.5],
    scale: [2000, 0.9],
    source:
      "common practice for a V-belt kept in tension; piston compressors have theirs checked every 500 h (US Army TM 5-4310-339-15)",
  },
  chain: { shape: [3, 0.5], scale: [3000, 0.9], source: "common practice for a lubricated roller chain to 3 % elongation" },
  bearing: {
    shape: [1.5, 0.4],
    scale: [20000, 1],
    source:
      "shape 1.5 from ISO 281:1990; scale common practice for machine-tool bearings, far below catalogue life where dust gets in",
  },
  filter: {
    shape: [2.5, 0.5],
    scale: [150, 1],
    source: "common practice for a dust filter between cleanings; 5–6 in w.g. is a common limit of pressure drop",
  },
  lubricant: {
    shape: [3, 0.5],
    scale: [1200, 0.9],
    source: "compressor oil 1000 h or 180 days, worm gear 2500 h or six months (makers' manuals), whichever comes first",
  },
  coolant: {
    shape: [2.5, 0.5],
    scale: [180, 0.8],
    unit: "days",
    source: "sumps cleaned every six months (HSE L8 as quoted in the trade)",
  },
  contactor: {
    shape: [1.5, 0.5],
    scale: [1000000, 1],
    unit: "starts",
    source: "order of B10d in ISO 13849-1 table C.1, from memory; far fewer under motor inrush",
  },
  "motor-brushes": { shape: [3, 0.5], scale: [500, 0.9], source: "common practice for universal motors" },
  lamp: {
    shape: [2.5, 0.5],
    scale: [10000, 0.9],
    source: "rated life of a lamp is the median of a large group at 3 h per start (Lighting Answers T8, 2006)",
  },
  "heating-element": { shape: [1.8, 0.5], scale: [1500, 1.1], source: "common practice for kiln and laminator elements" },
  "laser-tube": {
    shape: [2, 0.5],
    scale: [3000, 0.9],
    source: "glass tubes: makers quote 2000–8000 h, trade reports 1000–10 000 h",
  },
  nozzle: {
    shape: [2, 0.5],
    scale: [300, 1.1],
    source: "common practice for a brass printer nozzle; abrasive filament wears it within tens of hours",
  },
  needle: { shape: [2.5, 0.5], scale: [8, 0.8], source: "sewing practice: a new needle every 6–8 h of stitching, others 8–12 h" },
};

/** The words by which workshops call the same classes. */
const alsoCalled: Record<string, string> = {
  blade: "saw-blade",
  blades: "saw-blade",
  "circular-saw-blade": "saw-blade",
  band: "band-saw-blade",
  "bandsaw-blade": "band-saw-blade",
  knives: "planer-knives",
  "jointer-knives": "planer-knives",
  "router-bit": "cutter",
  "abrasive-belt": "sanding-belt",
  wheel: "grinding-wheel",
  "drive-belt": "belt",
  "v-belt": "belt",
  bearings: "bearing",
  bag: "filter",
  oil: "lubricant",
  grease: "lubricant",
  relay: "contactor",
  brushes: "motor-brushes",
  element: "heating-element",
};

const general: Record<LifeUnit, number> = {
  hours: 200,
  "load-hours": 200,
  starts: 100000,
  days: 365,
  "use-days": 100,
  cycles: 10000,
};

/** Classes with a belief of their own. */
export const partClasses: readonly string[] = Object.keys(typed);

/**
 * The belief for a class of part in the unit in which its lives are counted (hours and load-hours serve each other); a wide
 * general one, which says so in `source` and `isOwn`, for a class that is unknown, null, or ages in another unit.
 */
export function priorFor(partClass: string | null, unit: LifeUnit = "hours"): LifePrior {
  const name = partClass === null ? "" : (alsoCalled[partClass] ?? partClass);
  const own = Object.hasOwn(typed, name) ? typed[name]! : null;
  const ownUnit = own?.unit ?? "hours";
  if (own !== null && (ownUnit === unit || (ownUnit === "hours" && unit === "load-hours"))) {
    const [shape, scale] = [own.shape, own.scale];
    return {
      class: name,
      isOwn: true,
      unit,
      shape: { median: shape[0], logSd: shape[1] },
      scale: { median: scale[0], logSd: scale[1] },
      source: own.source,
    };
  }
  const why = own === null ? "class unknown" : `${name} is known in ${ownUnit} only`;
  return {
    class: name,
    isOwn: false,
    unit,
    shape: { median: 1.7, logSd: 0.6 },
    scale: { median: general[unit], logSd: 2 },
    source: `a wide general belief, ${why}: type a class for a better start`,
  };
}
