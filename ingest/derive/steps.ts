// The questions of a derivation and how they are asked: the SQL files, in the order in which deriving everything runs them.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, type Bound, perform, question } from "../../shared/question.ts";

const files = {
  // What is to be read, and how.
  referenceSize: "reference-size",
  readingMode: "reading-mode",
  stationSpan: "station-span",
  knownEvidence: "known-evidence",
  // From lines to sessions.
  walked: "walked",
  walk: "walk",
  carefulStation: "careful-station",
  care: "care",
  readingOrder: "reading-order",
  believed: "believed",
  releasedPlainly: "released-plainly",
  found: "found",
  stretches: "stretches",
  elsewhere: "elsewhere",
  twins: "twins",
  untwin: "untwin",
  unplain: "unplain",
  released: "released",
  unseen: "unseen",
  unbegun: "unbegun",
  // What seen sessions say about length.
  lengths: "lengths",
  judgedMachine: "judged-machine",
  shuffle: "shuffle",
  pauseBin: "pause-bin",
  pauses: "pauses",
  normalScore: "normal-score",
  reference: "reference",
  pauseDensity: "pause-density",
  // What ended or silenced many at once.
  bootSilence: "boot-silence",
  heardElsewhere: "heard-elsewhere",
  bootSilences: "boot-silences",
  quietSilences: "quiet-silences",
  silences: "silences",
  aliveStations: "alive-stations",
  cause: "cause",
  causeMember: "cause-member",
  // Ends that nobody saw.
  judged: "judged",
  ranked: "ranked",
  followed: "followed",
  weighed: "weighed",
  causeCut: "cause-cut",
  drawn: "drawn",
  motor: "motor",
  // Only what new lines can have changed.
  fingerprint: "fingerprint",
  renewalStart: "renewal-start",
  renewalBoot: "renewal-boot",
  renewalWalk: "renewal-walk",
  renewalOld: "renewal-old",
  renewalLines: "renewal-lines",
  renewalStretches: "renewal-stretches",
  renewalOldLine: "renewal-old-line",
  renewalOldStretch: "renewal-old-stretch",
  renewalPair: "renewal-pair",
  renewalEarlier: "renewal-earlier",
  takenId: "taken-id",
  lengthChange: "length-change",
  lengthCount: "length-count",
  redrawn: "redrawn",
  renewalMotor: "renewal-motor",
} as const;

export type Step = keyof typeof files;

const questions = Object.fromEntries(
  Object.entries(files).map(([step, file]) => [step, question(import.meta.url, `./${file}.sql`)]),
) as Record<Step, ReturnType<typeof question>>;

export const run = (connection: DuckDBConnection, step: Step, values: Record<string, Bound> = {}): Promise<void> =>
  perform(connection, questions[step], values);

export const rowsOf = <Row>(connection: DuckDBConnection, step: Step, values: Record<string, Bound> = {}): Promise<Row[]> =>
  ask<Row>(connection, questions[step], values);
