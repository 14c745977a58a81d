// How long parts last and what to do about it: lives from the record, belief and posterior apart, the set interval and the one the
// record suggests side by side, and whether repairs come faster. The volunteer decides.
import type { DuckDBConnection } from "@duckdb/node-api";
import type { Insufficient, Range } from "../../shared/errors.ts";
import { isoFromDate } from "../../shared/relation.ts";
import type { UseBasis } from "../service/tasks.ts";
import {
  type Advice,
  adviseLife,
  type LifeAdvice,
  livesEndedBy,
  posteriorLife,
  posteriorMembers,
  type RepairCurve,
  type WeibullFit,
} from "../stats/index.ts";
import { type Decision, loadDecisions } from "./decisions.ts";
import { type Learned, type LearnedAsked, type LearnedLives, learnedLives } from "./learned.ts";
import type { Aged } from "./lives.ts";
import { curveOf, repairsOf, type Trend, trendOf } from "./trend.ts";

export interface LifeRow {
  machine: string;
  part: string;
  task: string;
  machineName: string;
  partName: string;
  taskName: string;
  of: "part" | "edge";
  class: string | null;
  unit: UseBasis;
  /** Lives ended by wear; those found worn are among them. */
  failures: number;
  worn: number;
  intervalCensored: number;
  rightCensored: number;
  inUse: number;
  leftTruncated: number;
  /** In the machine when the log began, of unknown age. */
  leftOut: number;
  /** 80 % posterior intervals, in the unit. */
  shape: Range;
  scaleHours: Range;
  b10Hours: Range;
  prior: { shape: Range; scaleHours: Range; b10Hours: Range; source: string };
  /** The lives alone, by maximum likelihood, without any belief; null where they are too few. */
  data: Pick<WeibullFit, "shape" | "scale" | "shapeLow" | "shapeHigh" | "scaleLow" | "scaleHigh"> | null;
  costPlanned: number | null;
  costFailure: number | null;
  interval: {
    /** The best age and the 10 and 90 % points of it; null where no age pays. */
    hours: { low: number | null; best: number; high: number | null } | null;
    setHours: number | null;
    costPerHour: number | null;
    costPerHourSet: number | null;
    costPerHourRunToFailure: number | null;
    advice: Advice;
    reason: string;
    inspectHours: number;
  };
  costCurve: LifeAdvice["costCurve"];
  withoutAssumption: LifeAdvice["withoutAssumption"];
  /** Sharpening again and again: each edge of its own, leaning on the others where it has few lives. */
  edges: { edge: number; lives: number; failures: number; scaleHours: Range; shrinkage: number }[];
  trend: Trend | Insufficient;
  decision: Decision | null;
  lives: {
    age: number;
    end: Aged["end"];
    lastGood: number | null;
    entry: number | null;
    from: string | null;
    until: string | null;
    edge: number | null;
  }[];
}

export interface MachineRepairs {
  machine: string;
  unit: UseBasis;
  /** The machine's use since the log began. */
  used: number;
  repairs: number;
  /** Done by plan or by wear, not because something broke. */
  services: number;
  trend: Trend | Insufficient;
  curve: RepairCurve | null;
}

/** Every task that ends a life, in the workshop file's order, and every machine's repairs. */
export async function lifeAnswer(
  connection: DuckDBConnection,
  asked: LearnedAsked,
): Promise<{ asOf: string; machines: MachineRepairs[]; lives: LifeRow[] }> {
  const learned = await learnedLives(connection, asked);
  const decisions = await loadDecisions(connection, asked.asOf);
  return {
    asOf: isoFromDate(asked.asOf),
    machines: machineRepairs(learned),
    lives: learned.all.map((one) => rowOf(one, learned, decisions.of(one.task))),
  };
}

// At true shapes of 1 the 80 % interval lies above 1 in one to three parts of ten, the 95 % interval in one of twenty
// (tests/score.md, section on lives): taking out good parts for nothing is the dearer mistake.
const SURE = 0.95;

/** The advice on one task's lives: none to replace early where the shape's interval reaches 1, be it only that of 95 %. */
export function adviceOf({ lives, prior, task, setInterval }: Learned): LifeAdvice {
  const advice = adviseLife(lives, prior, {
    costPlanned: task.costPlanned,
    costFailure: task.costFailure,
    setHours: setInterval,
  });
  const { interval, life } = advice;
  if (interval.advice === "replace") {
    const { shape } = posteriorLife(livesEndedBy(lives, ["failed", "worn"]), prior, { level: SURE });
    if (shape.low > 1) return advice;
    return withoutAge(advice, "inspect", "the lives don't show beyond doubt that the part wears out: inspect instead");
  }
  const isEarly = interval.advice === "not-enough" && life.shape.low > 1;
  return isEarly || interval.hours === null ? advice : withoutAge(advice, interval.advice, interval.reason);
}

function withoutAge(advice: LifeAdvice, word: Advice, reason: string): LifeAdvice {
  const { interval } = advice;
  return {
    ...advice,
    interval: { ...interval, advice: word, reason, hours: null, costPerHour: interval.costPerHourRunToFailure },
  };
}

function rowOf(one: Learned, learned: LearnedLives, decision: Decision | null): LifeRow {
  const { task, lives, leftOut, unit, prior, records } = one;
  const advice = adviceOf(one);
  const { life, interval } = advice;
  const { data } = life;
  const { machine } = task;
  const since = learned.since(machine, unit);
  const used = since(learned.use.knownFrom(machine)) ?? 0;
  const repairs = repairsOf(
    records,
    learned.tasks.filter((other) => other.machine === machine),
  ).filter((record) => one.of === "part" || record.task === task.task);
  return {
    machine,
    part: task.part,
    task: task.task,
    machineName: task.machineName,
    partName: task.partName,
    taskName: task.taskName,
    of: one.of,
    class: task.class,
    unit,
    failures: advice.failures,
    worn: advice.worn,
    intervalCensored: advice.intervalCensored,
    rightCensored: advice.rightCensored,
    inUse: advice.inUse,
    leftTruncated: lives.filter(({ entry }) => entry !== undefined).length,
    leftOut,
    shape: life.shape,
    scaleHours: life.scale,
    b10Hours: life.b10,
    prior: {
      shape: life.prior.shape,
      scaleHours: life.prior.scale,
      b10Hours: life.prior.b10,
      source: prior.source,
    },
    data: data && {
      shape: data.shape,
      scale: data.scale,
      shapeLow: data.shapeLow,
      shapeHigh: data.shapeHigh,
      scaleLow: data.scaleLow,
      scaleHigh: data.scaleHigh,
    },
    costPlanned: task.costPlanned,
    costFailure: task.costFailure,
    interval,
    costCurve: advice.costCurve,
    withoutAssumption: advice.withoutAssumption,
    edges: one.of === "edge" ? edgesOf(one) : [],
    trend: trendOf(agesOf(repairs, since, used), used),
    decision,
    lives: lives.map(({ age, end, lastGood, entry, from, until, edge }) => ({
      age,
      end,
      lastGood: lastGood ?? null,
      entry: entry ?? null,
      from: from === null ? null : isoFromDate(from),
      until: until === null ? null : isoFromDate(until),
      edge,
    })),
  };
}

function edgesOf({ lives, prior }: Learned): LifeRow["edges"] {
  const known = [...new Set(lives.flatMap(({ edge }) => (edge === null ? [] : [edge])))].sort((a, b) => a - b);
  if (known.length < 2) return [];
  const members = known.map((edge) => ({
    name: String(edge),
    lives: livesEndedBy(
      lives.filter((life) => life.edge === edge),
      ["failed", "worn"],
    ),
  }));
  return posteriorMembers(members, prior).members.map(({ name, lives: count, failures, scale, shrinkage }) => ({
    edge: Number(name) + 1,
    lives: count,
    failures,
    scaleHours: scale,
    shrinkage,
  }));
}

const agesOf = (
  records: readonly { doneAt: Date; doneUntil: Date | null }[],
  since: (at: Date) => number | null,
  used: number,
): number[] =>
  records.flatMap(({ doneAt, doneUntil }) => {
    const [early, late] = [since(doneAt), since(doneUntil ?? doneAt)];
    return early === null || late === null ? [] : [used - (early + late) / 2];
  });

/** Every machine with parts, in the file's order. */
function machineRepairs({ tasks, records, use, since }: LearnedLives): MachineRepairs[] {
  return [...new Set(tasks.map(({ machine }) => machine))].map((machine) => {
    const known = use.knownFrom(machine);
    const begun = use.since(machine, known);
    const unit: UseBasis = begun.hours === undefined ? "days" : "hours";
    const own = records.filter((record) => record.machine === machine);
    const repairs = repairsOf(
      own,
      tasks.filter((task) => task.machine === machine),
    );
    const used = begun[unit]?.best ?? 0;
    const ages = agesOf(repairs, since(machine, unit), used);
    return {
      machine,
      unit,
      used,
      repairs: repairs.length,
      services: own.length - repairs.length,
      trend: trendOf(ages, used),
      curve: curveOf(ages, used),
    };
  });
}
