// What the workshop file must hold beyond its single words: references that meet something, spans that don't clash. Reads the file
// as it is written, piece by piece, so that one bad value hides no other problem.
import type * as z from "zod";
import { spanFromText, WEEKDAYS } from "./opening-hours.ts";
import { meantBy, oneOf, type Path, type Problem } from "./problem.ts";
import { instantFromTyped } from "./times.ts";
import { dayOrTimeWord, idWord, isZone } from "./words.ts";
import { exceptionSchema, meterReadingSchema, outageSchema, stationSpanSchema } from "./workshop-schema.ts";
import { valueAt, type YamlFile } from "./yaml-file.ts";

interface Span {
  from: number;
  until: number;
}

interface Claim extends Span {
  machine: string;
  station: string;
  path: Path;
  /** As written, for the sentence. */
  fromText: string | undefined;
  untilText: string | undefined;
}

interface Sketch {
  index: number;
  id: string | undefined;
  raw: Record<string, unknown>;
  /** From the machine's own first day to its last. */
  life: Span;
}

/** The problems between the words of a workshop file; those of single words are the schema's. */
export function problemsBetween(file: YamlFile): Problem[] {
  const problems: Problem[] = [];
  const add = (path: Path, expected: string, value?: unknown): void => {
    problems.push(file.problem(path, expected, value));
  };
  const at = (...path: (string | number)[]): unknown => valueAt(file.raw, path);
  const zoneTyped = at("workshop", "zone");
  const zone = typeof zoneTyped === "string" && isZone(zoneTyped) ? zoneTyped : "UTC";

  const instant = (text: unknown, side: "since" | "until"): number | undefined => {
    const typed = maybe(dayOrTimeWord, text);
    return typed === undefined ? undefined : instantFromTyped(typed, zone, { field: "time", side }).getTime();
  };
  /** A span whose `until` day belongs to it, or not; reversed ones are told and given back as nothing. */
  const spanOf = (raw: unknown, path: Path, untilSide: "since" | "until"): Span | undefined => {
    const from = instant(valueAt(raw, ["from"]), "since") ?? Number.NEGATIVE_INFINITY;
    const until = instant(valueAt(raw, ["until"]), untilSide) ?? Number.POSITIVE_INFINITY;
    if (from < until) return { from, until };
    const after = untilSide === "until" ? "not before" : "after";
    add([...path, "until"], `a time ${after} from (${valueAt(raw, ["from"])})`);
    return undefined;
  };

  const uniqueIds = (list: unknown, path: Path): void => {
    const seen = new Map<string, number>();
    for (const [index, item] of items(list).entries()) {
      const id = valueAt(item, ["id"]);
      if (typeof id !== "string") continue;
      const before = seen.get(id);
      if (before === undefined) seen.set(id, index);
      else add([...path, index, "id"], `an id of its own; line ${file.lineOf([...path, before, "id"])} has it already`);
    }
  };

  uniqueIds(at("rooms"), ["rooms"]);
  uniqueIds(at("machines"), ["machines"]);

  const rooms = items(at("rooms")).flatMap((room) => texts(valueAt(room, ["id"])));
  const machines = items(at("machines")).flatMap((raw, index): Sketch[] => {
    if (typeof raw !== "object" || raw === null || Array.isArray(raw)) return [];
    const life = spanOf(raw, ["machines", index], "until") ?? { from: Number.NEGATIVE_INFINITY, until: Number.POSITIVE_INFINITY };
    return [{ index, id: maybe(idWord("id"), valueAt(raw, ["id"])), raw: raw as Record<string, unknown>, life }];
  });
  const ids = machines.flatMap(({ id }) => texts(id));

  for (const { index, id, raw } of machines) {
    const path = ["machines", index];
    const { room, group } = raw;
    if (typeof room === "string" && !rooms.includes(room)) {
      add([...path, "room"], rooms.length === 0 ? "a room listed under rooms; there is none" : oneOf(rooms, room));
    }
    const namesake = machines.find((other) => other.id === group && other.id !== id);
    if (typeof group === "string" && namesake !== undefined && (namesake.raw.group ?? namesake.id) !== group) {
      add(
        [...path, "group"],
        `a group that is not the id of a machine outside it (line ${file.lineOf(["machines", namesake.index, "id"])})`,
      );
    }
    kindProblems(raw, path, add);
    if (raw.run_on_seconds !== undefined && raw.driven_by === undefined) {
      add([...path, "run_on_seconds"], "driven_by beside it: only a driven machine runs on");
    }
    for (const [at, outage] of items(raw.outages).entries()) {
      if (maybe(outageSchema, outage) !== undefined) spanOf(outage, [...path, "outages", at], "until");
    }
    meterProblems(raw.meter_readings, path, instant, file, add);
    partProblems(raw, path, uniqueIds, add);
  }

  driverProblems(machines, ids, add);
  stationProblems(machines, at("workshop", "address_bits"), spanOf, add);
  hoursProblems(at("hours"), add);
  return problems;
}

type Add = (path: Path, expected: string, value?: unknown) => void;

const HOUR_SOURCES = ["stations", "driven_by", "always_on", "meter_readings"];

/** A machine's hours come from one source. A mistyped one is told as the unknown key that it is. */
function kindProblems(raw: Record<string, unknown>, path: Path, add: Add): void {
  const given = ["stations", "driven_by", "always_on"].filter((key) => raw[key] !== undefined && raw[key] !== false);
  const [first, ...others] = given;
  const isMistyped = Object.keys(raw).some((key) => !HOUR_SOURCES.includes(key) && meantBy(key, HOUR_SOURCES) !== undefined);
  if (
    first === undefined &&
    !isMistyped &&
    (raw.meter_readings === undefined || (items(raw.meter_readings).length === 0 && Array.isArray(raw.meter_readings)))
  ) {
    add(path, "one of stations, driven_by, always_on: true or meter_readings, by which its hours come about", raw.id);
  }
  for (const key of others) add([...path, key], `only one of ${first} and ${key}, by which its hours come about`);
}

function meterProblems(
  readings: unknown,
  path: Path,
  instant: (text: unknown, side: "since") => number | undefined,
  file: YamlFile,
  add: Add,
): void {
  const seen = new Map<number, number>();
  for (const [index, reading] of items(readings).entries()) {
    if (maybe(meterReadingSchema, reading) === undefined) continue;
    const time = instant(valueAt(reading, ["time"]), "since") as number;
    const before = seen.get(time);
    if (before === undefined) seen.set(time, index);
    else {
      const line = file.lineOf([...path, "meter_readings", before, "time"]);
      add([...path, "meter_readings", index, "time"], `one reading for a time; line ${line} has one for it already`);
    }
  }
}

function partProblems(raw: Record<string, unknown>, path: Path, uniqueIds: (list: unknown, path: Path) => void, add: Add): void {
  uniqueIds(raw.parts, [...path, "parts"]);
  const isDriven = raw.driven_by !== undefined;
  const hasStarts = isDriven || raw.stations !== undefined;
  for (const [partIndex, part] of items(raw.parts).entries()) {
    const partPath = [...path, "parts", partIndex];
    if (valueAt(part, ["fitted"]) !== undefined && valueAt(part, ["used_at_start"]) !== undefined) {
      add([...partPath, "used_at_start"], "either fitted or used_at_start");
    }
    const tasks = valueAt(part, ["tasks"]);
    uniqueIds(tasks, [...partPath, "tasks"]);
    const taskIds = items(tasks).flatMap((task) => texts(valueAt(task, ["id"])));
    for (const [taskIndex, task] of items(tasks).entries()) {
      const taskPath = [...partPath, "tasks", taskIndex];
      for (const [index, reset] of items(valueAt(task, ["resets"])).entries()) {
        if (typeof reset === "string" && !taskIds.includes(reset)) {
          add([...taskPath, "resets", index], oneOf(taskIds, reset), reset);
        }
      }
      for (const limit of ["every", "first_after"]) {
        if (!isDriven && valueAt(task, [limit, "load_hours"]) !== undefined) {
          add([...taskPath, limit, "load_hours"], "a driven machine: load-hours are its drivers' hours");
        }
        if (
          !hasStarts &&
          (raw.always_on === true || raw.meter_readings !== undefined) &&
          valueAt(task, [limit, "starts"]) !== undefined
        ) {
          add([...taskPath, limit, "starts"], "a machine with stations or drivers: no other's starts are seen");
        }
      }
    }
  }
}

function driverProblems(machines: readonly Sketch[], ids: readonly string[], add: Add): void {
  const edges = new Map<string, { driver: string; path: Path }[]>();
  for (const { index, id, raw } of machines) {
    const driven = raw.driven_by;
    const drivers: { driver: string; path: Path }[] = Array.isArray(driven)
      ? driven.flatMap((driver, at) =>
          texts(driver).map((text) => ({ driver: text, path: ["machines", index, "driven_by", at] })),
        )
      : typeof driven === "object" && driven !== null
        ? Object.keys(driven).map((driver) => ({ driver, path: ["machines", index, "driven_by", driver] }))
        : [];
    const seen = new Set<string>();
    for (const { driver, path } of drivers) {
      const others = ids.filter((other) => other !== id);
      const expected = others.length === 0 ? "another machine of this file; there is none" : oneOf(others, driver);
      if (!ids.includes(driver)) add(path, expected, driver);
      else if (seen.has(driver)) add(path, "every driver only once", driver);
      seen.add(driver);
    }
    if (id !== undefined) edges.set(id, drivers);
  }
  // A machine on a round of drivers is told once, at the first of its drivers on the round.
  const told = new Set<string>();
  for (const { id } of machines) {
    if (id === undefined || told.has(id)) continue;
    const round = roundFrom(id, edges);
    if (round === undefined) continue;
    for (const step of round) told.add(step);
    const next = round[1] ?? id;
    const path = edges.get(id)?.find((edge) => edge.driver === next)?.path;
    if (path !== undefined) add(path, `drivers that don't come round again (${[...round, id].join(" ← ")})`, next);
  }
}

/** The machines from `start` by drivers back to it, or undefined where it is on no round. */
function roundFrom(start: string, edges: ReadonlyMap<string, readonly { driver: string }[]>): string[] | undefined {
  const from = new Map<string, string | undefined>([[start, undefined]]);
  const queue = [start];
  for (let id = queue.shift(); id !== undefined; id = queue.shift()) {
    for (const { driver } of edges.get(id) ?? []) {
      if (driver === start) {
        const round = [id];
        for (let back = from.get(id); back !== undefined; back = from.get(back)) round.unshift(back);
        return round;
      }
      if (from.has(driver)) continue;
      from.set(driver, id);
      queue.push(driver);
    }
  }
  return undefined;
}

function stationProblems(
  machines: readonly Sketch[],
  bits: unknown,
  spanOf: (raw: unknown, path: Path, side: "since") => Span | undefined,
  add: Add,
): void {
  const claims: Claim[] = [];
  for (const { index, id, raw, life } of machines) {
    const own: Claim[] = [];
    for (const [at, item] of items(raw.stations).entries()) {
      const path = ["machines", index, "stations", at];
      const span = maybe(stationSpanSchema, item);
      if (span === undefined) continue;
      if (typeof bits === "number" && Number.isInteger(bits) && bits >= 1 && bits <= 16 && /^\d+$/.test(span.station)) {
        const largest = 2 ** bits - 1;
        const place = typeof item === "string" ? path : [...path, "station"];
        if (Number(span.station) > largest) add(place, `an address that ${bits} jumpers can set, 0 to ${largest}`);
      }
      const reach = spanOf(span, path, "since");
      if (reach === undefined) continue;
      const clipped = { from: Math.max(reach.from, life.from), until: Math.min(reach.until, life.until) };
      if (clipped.from >= clipped.until) {
        add(path, "a span within the machine's own from and until", span.station);
        continue;
      }
      own.push({
        ...clipped,
        machine: id ?? `machines[${index}]`,
        station: span.station,
        path,
        fromText: span.from,
        untilText: span.until,
      });
    }
    own.sort((a, b) => a.from - b.from);
    for (const [position, claim] of own.entries()) {
      const before = own[position - 1];
      if (before === undefined) continue;
      if (claim.from < before.until) {
        const expected = `one station at a time: ${before.station} is the machine's until ${before.untilText ?? "now"}`;
        add(claim.fromText === undefined ? claim.path : [...claim.path, "from"], expected, claim.fromText ?? claim.station);
      } else if (claim.from > before.until) {
        add([...claim.path, "from"], `no gap behind station ${before.station}: from ${before.untilText}`);
      }
    }
    claims.push(...own);
  }
  const byStation = new Map<string, Claim[]>();
  for (const claim of claims) byStation.set(claim.station, [...(byStation.get(claim.station) ?? []), claim]);
  for (const rivals of byStation.values()) {
    for (const [position, claim] of rivals.entries()) {
      const rival = rivals
        .slice(0, position)
        .find((other) => other.path[1] !== claim.path[1] && other.from < claim.until && claim.from < other.until);
      if (rival !== undefined)
        add(claim.path, `a station that no other machine has at the time; ${rival.machine} has it too`, claim.station);
    }
  }
}

function hoursProblems(hours: unknown, add: Add): void {
  for (const state of ["staffed", "member"]) {
    for (const day of WEEKDAYS) overlapProblems(valueAt(hours, [state, day]), ["hours", state, day], add);
  }
  for (const [index, exception] of items(valueAt(hours, ["exceptions"])).entries()) {
    const path = ["hours", "exceptions", index];
    for (const state of ["staffed", "member"]) overlapProblems(valueAt(exception, [state]), [...path, state], add);
    const parsed = maybe(exceptionSchema, exception);
    if (parsed?.from !== undefined && parsed.until !== undefined && parsed.until < parsed.from) {
      add([...path, "until"], `${parsed.from} or later, as from says`);
    }
  }
}

/** Two spans of one state on one day don't overlap; one that is both staffed and member is staffed. */
function overlapProblems(list: unknown, path: Path, add: Add): void {
  const spans = items(list)
    .map((text, index) => ({ index, span: typeof text === "string" ? spanFromText(text) : undefined }))
    .flatMap(({ index, span }) => (span === undefined ? [] : [{ index, ...span }]))
    .sort((a, b) => a.fromMinute - b.fromMinute);
  for (const [position, span] of spans.entries()) {
    const before = spans[position - 1];
    if (before !== undefined && span.fromMinute < before.untilMinute)
      add([...path, span.index], "hours that don't overlap others of the day");
  }
}

const maybe = <S extends z.ZodType>(schema: S, raw: unknown): z.output<S> | undefined => {
  const result = schema.safeParse(raw);
  return result.success ? result.data : undefined;
};

const items = (raw: unknown): unknown[] => (Array.isArray(raw) ? raw : []);
const texts = (raw: unknown): string[] => (typeof raw === "string" ? [raw] : []);

/** Ids of machines and groups, by which a roster may name them. */
export function namesForRoster(file: YamlFile): Set<string> {
  return new Set(
    items(valueAt(file.raw, ["machines"])).flatMap((machine) => [
      ...texts(valueAt(machine, ["id"])),
      ...texts(valueAt(machine, ["group"])),
    ]),
  );
}
