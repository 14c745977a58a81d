// Parts that wear with the hours the motor really turns, break or get worn, and a few volunteers who look after them.
import type { Calendar } from "./calendar.ts";
import { compressorOil, filter, type PartSpec, parts } from "./parts.ts";
import { compressor, dustCollector, machines } from "./place.ts";
import type { Chance } from "./random.ts";
import type { PartInFile, Reading, ServiceRow } from "./write.ts";

export interface Care {
  machine: number;
  isRepair: boolean;
  /** After the beginning of the round. */
  seconds: number;
}
export interface Wear {
  /** Adds use to a machine's parts; gives what broke, or null. */
  use(machine: number, runHours: number, enabledHours: number, starts: number, time: number): string | null;
  /** A maintainers' round: what was done on idle machines. */
  care(time: number, isIdle: (machine: number) => boolean): Care[];
}

export interface Life {
  machine: string;
  part: string;
  task: string;
  unit: string;
  shape: number;
  scale: number;
  from: number | null;
  ageAtStart: number;
  until: number | null;
  age: number;
  life: number;
  /** `early` was still good, `in-use` outlasts the log. */
  cause: "failed" | "worn" | "damaged" | "early" | "in-use";
  recorded: string | null;
}
export interface MeterEvent {
  machine: string;
  time: number;
  what: "replaced" | "misread";
  written: number;
  shown: number;
}

export interface WearTold {
  services: ServiceRow[];
  lives: Life[];
  readings: Reading[];
  meterEvents: MeterEvent[];
  partsInFile: PartInFile[];
  /** Stretches in which the compressor ran. */
  compressorRuns: { start: number; end: number }[];
}

export const noWear = (): Wear => ({ use: () => null, care: () => [] });

interface PartState {
  spec: PartSpec;
  fitted: number | null;
  age: number;
  ageAtStart: number;
  life: number;
  scale: number;
  isBreaking: boolean;
  brokenAt: number | null;
  isDamaged: boolean;
  readyAt: number;
  plannedAge: number;
  edgeAge: number;
  edgeFrom: number | null;
  edgeAgeAtStart: number;
  edgeLife: number;
  edgeScale: number;
  edgePlan: number;
  sharpenings: number;
  inspectedAt: number;
  upkeepAt: number[];
  useDays: number[];
  lastUseDay: number;
}

const day = 86_400;
const mostPerRound = 5;
const volunteers = ["p001", "p002", "p003", "p004", "p005"];

export function newWear(calendar: Calendar, chance: Chance): { wear: Wear; told: () => WearTold } {
  const services: ServiceRow[] = [];
  const lives: Life[] = [];
  const readings: Reading[] = [];
  const meterEvents: MeterEvent[] = [];
  const compressorRuns: { start: number; end: number }[] = [];
  const indexOf = new Map(machines.map(({ id }, index) => [id, index]));
  const states = parts.map((spec) => newPart(spec));
  const statesOf = machines.map(({ id }) => states.filter(({ spec }) => spec.machine === id));
  const dust = {
    load: filter.usedAtStart as number,
    total: filter.usedAtStart as number,
    cleans: 2,
    cleanedAt: calendar.from,
    lookedAt: 0,
  };
  const oil = { hours: 0, changedAt: calendar.from - 70 * day };
  const meters = new Map<string, { shown: number }>();
  for (const { id, meter } of [...machines, compressor]) if (meter !== undefined) meters.set(id, { shown: meter });
  const span = calendar.until - calendar.from;
  const swap = { machine: "mill", after: calendar.from + 0.45 * span, isDone: false };
  const slip = { machine: "metal-lathe-1", after: calendar.from + 0.7 * span, isDone: false };
  let readIn = "";
  const partsInFile = [...states.map(inFile), filterInFile(), oilInFile()];
  readMeters(calendar.from + 10 * 3600, 0);

  function newPart(spec: PartSpec): PartState {
    const state: PartState = {
      spec,
      fitted: null,
      age: spec.usedAtStart,
      ageAtStart: spec.usedAtStart,
      life: 0,
      scale: spec.scale,
      isBreaking: false,
      brokenAt: null,
      isDamaged: false,
      readyAt: 0,
      plannedAge: 0,
      edgeAge: spec.sharpen === undefined ? 0 : Math.min(spec.usedAtStart, spec.sharpen.every * 0.4),
      edgeFrom: null,
      edgeAgeAtStart: 0,
      edgeLife: 0,
      edgeScale: spec.sharpen?.scale ?? 0,
      edgePlan: 0,
      sharpenings: spec.sharpen === undefined ? 0 : Math.floor(spec.usedAtStart / spec.sharpen.every),
      inspectedAt: calendar.from,
      upkeepAt: (spec.upkeep ?? []).map(({ days }) => calendar.from - Math.round((days ?? 0) * 0.4) * day),
      useDays: (spec.upkeep ?? []).map(() => 0),
      lastUseDay: 0,
    };
    state.edgeAgeAtStart = state.edgeAge;
    drawLife(state);
    drawEdge(state);
    return state;
  }

  // A part in use when the log begins has outlasted its age so far.
  function drawLife(state: PartState): void {
    const { spec } = state;
    do state.life = chance.weibull(spec.shape, state.scale);
    while (state.life <= state.age);
    state.isBreaking = chance.happens(spec.breaks);
    state.plannedAge = spec.replaceEvery * chance.between(0.85, 1.2);
  }

  function drawEdge(state: PartState): void {
    const { sharpen } = state.spec;
    if (sharpen === undefined) return;
    state.edgeScale = sharpen.scale * sharpen.decay ** state.sharpenings;
    do state.edgeLife = chance.weibull(sharpen.shape, state.edgeScale);
    while (state.edgeLife <= state.edgeAge);
    state.edgePlan = sharpen.every * chance.between(0.85, 1.25);
  }

  function use(machine: number, runHours: number, enabledHours: number, starts: number, time: number): string | null {
    // A unit that isn't there, only tried out, has no parts.
    if (machine >= machines.length) return null;
    const { id, dustLoad } = machines[machine]!;
    const meter = meters.get(id);
    if (meter !== undefined) meter.shown += runHours;
    if (dustLoad !== undefined) {
      dust.load += dustLoad * enabledHours;
      dust.total += dustLoad * enabledHours;
    }
    const air = Math.round(enabledHours * 3600 * 0.06);
    compressorRuns.push({ start: time - air, end: time });
    meters.get(compressor.id)!.shown += air / 3600;
    oil.hours += air / 3600;

    let broken: string | null = null;
    for (const state of statesOf[machine]!) {
      const { spec } = state;
      if (state.brokenAt !== null) continue;
      const amount =
        spec.unit === "hours" ? runHours : spec.unit === "starts" ? starts : spec.unit === "cycles" ? (runHours > 1 ? 1 : 0) : 0;
      state.age += amount;
      state.edgeAge += amount;
      const today = Math.floor(time / day);
      if (today !== state.lastUseDay) {
        state.lastUseDay = today;
        state.useDays = state.useDays.map((count) => count + 1);
      }
      state.isDamaged = chance.happens(1 - Math.exp(-spec.accidents * amount));
      if (state.isDamaged || (state.age >= state.life && state.isBreaking)) {
        state.brokenAt = time;
        state.readyAt = chance.happens(spec.stock > 0 ? 0.8 : 0.3) ? time : time + spec.leadDays * day;
        broken = `${spec.part} ${state.isDamaged ? "damaged" : "broke"}`;
      }
    }
    return broken;
  }

  function care(time: number, isIdle: (machine: number) => boolean): Care[] {
    const done: Care[] = [];
    let clock = time + 300;
    const isMonday = calendar.hourOfWeek(time) < 24;
    readMeters(time, isMonday ? 1 : 2);
    for (const state of chance.some(states, states.length)) {
      const { spec } = state;
      const machine = indexOf.get(spec.machine)!;
      if (done.length >= mostPerRound || !isIdle(machine) || done.some((other) => other.machine === machine)) continue;
      const isRepair = state.brokenAt !== null;
      if (isRepair ? time < state.readyAt : !isMonday) continue;
      const task = isRepair ? renew(state, clock) : lookAfter(state, clock);
      if (task === null) continue;
      const others = statesOf[machine]!.some((other) => other.brokenAt !== null);
      done.push({ machine, isRepair: isRepair && !others, seconds: clock - time + chance.whole(5, 12) * 60 });
      clock += chance.whole(12, 25) * 60;
    }
    if (isMonday) {
      lookAfterFilter(clock);
      lookAfterOil(clock);
    }
    return done.filter(({ machine, isRepair }) => isRepair || !statesOf[machine]!.some(({ brokenAt }) => brokenAt !== null));
  }

  /** A new part; gives the task done. */
  function renew(state: PartState, time: number): string {
    const { spec } = state;
    const isFailed = state.brokenAt !== null && !state.isDamaged;
    const cause = state.isDamaged ? "damaged" : isFailed ? "failed" : state.age >= state.life ? "worn" : "early";
    const isEdgeDone = spec.sharpen !== undefined && state.edgeAge >= state.edgeLife;
    const truly = cause === "early" ? (isEdgeDone ? "worn" : "good") : cause;
    const found = chance.happens(0.06) ? "unknown" : truly;
    const isVague = cause !== "early" && chance.happens(0.1);
    record({
      time: isVague ? (state.brokenAt ?? time - 7 * day) : time,
      timeUntil: isVague ? time : null,
      machine: spec.machine,
      part: spec.part,
      task: "replace",
      found,
      why: cause === "early" ? "planned" : cause === "damaged" ? "accident" : "condition",
      reading: "",
      cost: isFailed || state.isDamaged ? spec.costFailure : spec.costPlanned,
      note: cause === "damaged" ? "hit something hard" : "",
    });
    endLife(state, time, cause, found);
    endEdge(state, time, isEdgeDone ? "worn" : cause === "damaged" ? "damaged" : "early", found);
    if (spec.worsens !== undefined) state.scale *= spec.worsens;
    Object.assign(state, { fitted: time, age: 0, ageAtStart: 0, brokenAt: null, isDamaged: false, edgeAge: 0, sharpenings: 0 });
    Object.assign(state, { edgeFrom: time, edgeAgeAtStart: 0 });
    drawLife(state);
    drawEdge(state);
    return "replace";
  }

  function lookAfter(state: PartState, time: number): string | null {
    const { spec } = state;
    const { sharpen } = spec;
    const isWorn = state.age >= state.life;
    if (isWorn && chance.happens(0.7)) return renew(state, time);
    if (sharpen !== undefined) {
      const isDull = state.edgeAge >= state.edgeLife && chance.happens(0.7);
      if (isDull || state.edgeAge >= state.edgePlan) {
        if (state.sharpenings >= sharpen.atMost) return renew(state, time);
        const truly = state.edgeAge >= state.edgeLife ? "worn" : "good";
        const found = chance.happens(0.05) ? "unknown" : truly;
        const { machine, part } = spec;
        const why = isDull ? "condition" : "planned";
        record({ time, timeUntil: null, machine, part, task: "sharpen", found, why, reading: "", cost: 18, note: "" });
        endEdge(state, time, truly === "worn" ? "worn" : "early", found);
        Object.assign(state, { sharpenings: state.sharpenings + 1, edgeAge: 0, edgeFrom: time, edgeAgeAtStart: 0 });
        drawEdge(state);
        return "sharpen";
      }
    }
    if (spec.isPlanned && state.age >= state.plannedAge) return renew(state, time);
    if (spec.inspectDays !== undefined && time - state.inspectedAt >= spec.inspectDays * day) {
      state.inspectedAt = time;
      const { machine, part } = spec;
      record({
        time,
        timeUntil: null,
        machine,
        part,
        task: "inspect",
        found: isWorn ? "worn" : "good",
        why: "planned",
        reading: "",
        cost: null,
        note: "",
      });
      return isWorn ? renew(state, time + 600) : "inspect";
    }
    for (const [index, { id, days, useDays }] of (spec.upkeep ?? []).entries()) {
      const isDue =
        days !== undefined ? time - state.upkeepAt[index]! >= days * day * 0.95 : state.useDays[index]! >= (useDays ?? 0);
      if (!isDue || !chance.happens(0.75)) continue;
      state.upkeepAt[index] = time;
      state.useDays[index] = 0;
      const { machine, part } = spec;
      record({
        time,
        timeUntil: null,
        machine,
        part,
        task: id,
        found: "good",
        why: "planned",
        reading: "",
        cost: null,
        note: "",
      });
      return id;
    }
    return null;
  }

  function endLife(state: PartState, time: number | null, cause: Life["cause"], recorded: string | null): void {
    const { spec, fitted, age, ageAtStart, life, scale } = state;
    const { machine, part, unit, shape } = spec;
    lives.push({
      machine,
      part,
      task: "replace",
      unit,
      shape,
      scale,
      from: fitted,
      ageAtStart,
      until: time,
      age,
      life,
      cause,
      recorded,
    });
  }

  function endEdge(state: PartState, time: number | null, cause: Life["cause"], recorded: string | null): void {
    const { spec, edgeFrom, edgeAge, edgeAgeAtStart, edgeLife, edgeScale } = state;
    if (spec.sharpen === undefined) return;
    const { machine, part, unit } = spec;
    const { shape } = spec.sharpen;
    lives.push({
      machine,
      part,
      task: "sharpen",
      unit,
      shape,
      scale: edgeScale,
      from: edgeFrom,
      ageAtStart: edgeAgeAtStart,
      until: time,
      age: edgeAge,
      life: edgeLife,
      cause,
      recorded,
    });
  }

  function pressure(): number {
    const clean = filter.cleanPressure + filter.stays * dust.cleans;
    return Math.round((clean + filter.rise * dust.load + 0.03 * chance.normal()) * 100) / 100;
  }

  function lookAfterFilter(time: number): void {
    if (time - dust.lookedAt < 13 * day) return;
    dust.lookedAt = time;
    const drop = pressure();
    const about = {
      time,
      timeUntil: null,
      machine: dustCollector.id,
      part: filter.part,
      reading: `pressure drop=${drop}`,
      note: "",
    };
    if (dust.cleans >= 10 && drop > 1) {
      record({ ...about, task: "replace", found: "worn", why: "condition", cost: filter.price });
      Object.assign(dust, { load: 0, total: 0, cleans: 0, cleanedAt: time });
    } else if (drop >= filter.limit * 0.92 || dust.load >= filter.cleanEvery * chance.between(0.9, 1.2)) {
      record({
        ...about,
        task: "clean",
        found: drop >= filter.limit ? "worn" : "good",
        why: drop >= filter.limit ? "condition" : "planned",
        cost: null,
      });
      Object.assign(dust, { load: 0, cleans: dust.cleans + 1, cleanedAt: time });
    } else record({ ...about, task: "inspect", found: "good", why: "planned", cost: null });
  }

  function lookAfterOil(time: number): void {
    const isDue = oil.hours >= compressorOil.everyHours || time - oil.changedAt >= compressorOil.everyDays * day;
    if (!isDue || !chance.happens(0.6)) return;
    Object.assign(oil, { hours: 0, changedAt: time });
    record({
      time,
      timeUntil: null,
      machine: compressor.id,
      part: compressorOil.part,
      task: "replace",
      found: "good",
      why: "planned",
      reading: "",
      cost: compressorOil.price,
      note: "",
    });
  }

  function record(row: Omit<ServiceRow, "meter" | "by">): void {
    const meter = meters.get(row.machine);
    const isRead = meter !== undefined && row.timeUntil === null && chance.happens(0.6);
    services.push({ ...row, meter: isRead ? Math.floor(meter.shown * 10) / 10 : null, by: chance.pick(volunteers) });
  }

  // Once a month somebody walks round and writes the hour meters down, to the tenth that they show.
  function readMeters(time: number, visit: number): void {
    const month = calendar.date(time).slice(0, 7);
    if (visit === 2 || (visit === 1 && month === readIn)) return;
    if (visit === 1) readIn = month;
    for (const [machine, meter] of meters) {
      if (swap.machine === machine && !swap.isDone && time >= swap.after) {
        swap.isDone = true;
        const shown = Math.floor(meter.shown * 10) / 10;
        readings.push({ machine, time: calendar.minute(time), hours: shown });
        meterEvents.push({ machine, time, what: "replaced", written: shown, shown });
        meter.shown = 0;
        continue;
      }
      const shown = Math.floor(meter.shown * 10) / 10;
      let written = shown;
      if (slip.machine === machine && !slip.isDone && time >= slip.after) {
        slip.isDone = true;
        written = Math.round((shown - 180) * 10) / 10;
        meterEvents.push({ machine, time, what: "misread", written, shown });
      }
      readings.push({ machine, time: calendar.minute(time), hours: written });
    }
  }

  function inFile({ spec, ageAtStart }: PartState): PartInFile {
    const { machine, part, unit, sharpen } = spec;
    const used =
      spec.usedKnown === "unknown"
        ? {}
        : spec.usedKnown === "fitted"
          ? { fitted: calendar.date(calendar.from - Math.round(ageAtStart * 2.2) * day) }
          : {
              used_at_start: {
                low: round(ageAtStart * 0.75),
                best: round(ageAtStart * chance.between(0.9, 1.1)),
                high: round(ageAtStart * 1.3),
              },
            };
    return {
      machine,
      part: {
        id: part,
        class: spec.class,
        ...used,
        price: spec.price,
        lead_days: spec.leadDays,
        stock: spec.stock,
        tasks: [
          {
            id: "replace",
            every: { [unit]: spec.replaceEvery },
            cost_planned: spec.costPlanned,
            cost_failure: spec.costFailure,
            ...(sharpen === undefined ? {} : { resets: ["sharpen"] }),
          },
          ...(sharpen === undefined ? [] : [{ id: "sharpen", every: { [unit]: sharpen.every }, at_most: sharpen.atMost }]),
          ...(spec.inspectDays === undefined ? [] : [{ id: "inspect", every: { days: spec.inspectDays } }]),
          ...(spec.upkeep ?? []).map(({ id, days, useDays }) => ({
            id,
            every: days === undefined ? { use_days: useDays } : { days },
          })),
        ],
      },
    };
  }

  function filterInFile(): PartInFile {
    const { part, price, cleanEvery, replaceEvery, limit, unit } = filter;
    const tasks = [
      { id: "replace", every: { load_hours: replaceEvery }, resets: ["clean"] },
      { id: "clean", every: { load_hours: cleanEvery }, reading: { name: "pressure drop", unit, limit } },
      { id: "inspect", every: { days: 14 } },
    ];
    const used = { low: 60, best: filter.usedAtStart, high: 130 };
    return {
      machine: dustCollector.id,
      part: { id: part, class: filter.class, used_at_start: used, price, lead_days: 12, stock: 1, tasks },
    };
  }

  function oilInFile(): PartInFile {
    const { part, price, everyDays, everyHours } = compressorOil;
    const tasks = [{ id: "replace", every: { hours: everyHours, days: everyDays } }];
    const fitted = calendar.date(oil.changedAt);
    return {
      machine: compressor.id,
      part: { id: part, class: compressorOil.class, fitted, price, lead_days: 3, stock: 2, tasks },
    };
  }

  return {
    wear: { use, care },
    told: () => {
      for (const state of states) {
        endLife(state, null, "in-use", null);
        endEdge(state, null, "in-use", null);
      }
      services.sort((a, b) => a.time - b.time);
      return { services, lives, readings, meterEvents, partsInFile, compressorRuns };
    },
  };
}

const round = (hours: number) => Math.round(hours * 10) / 10;

/** Mondays at twenty past ten and Thursdays at twenty past six in the evening, whenever the doors are open. */
export function careTimes(calendar: Calendar): number[] {
  return calendar.days.flatMap(({ date, weekday }) => {
    if (weekday !== 0 && weekday !== 3) return [];
    const time = calendar.instant(date, weekday === 0 ? "10:20" : "18:20");
    return calendar.stateAt(time) === "staffed" ? [time] : [];
  });
}
