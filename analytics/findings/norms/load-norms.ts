// The norms of length of every machine, from what the store keeps of its seen sessions.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../../shared/question.ts";
import type { Calibration } from "../../stats/calibration.ts";
import { calibrationFrom, fittedTail, type LengthFences, lengthFences, type Norm, normsOf, type Sample } from "./norms.ts";

const samplesQuestion = question(import.meta.url, "./samples.sql");

export interface Norms {
  byMachine: ReadonlyMap<string, Norm>;
  nameOf(machine: string): string;
  calibrate: Calibration;
  /** Chance that an ordinary session of the machine lasts as long or longer; 1 where nothing is known of the machine. */
  tail(machine: string, seconds: number): number;
  /** The machine's own fences of length; null where it has fewer than three sessions. */
  fences(machine: string): LengthFences | null;
}

export async function loadNorms(connection: DuckDBConnection): Promise<Norms> {
  const samples = await ask<Sample & { name: string }>(connection, samplesQuestion);
  const byMachine = normsOf(samples);
  const calibrate = calibrationFrom(samples, byMachine);
  const names = new Map(samples.map(({ machine, name }) => [machine, name]));
  const fences = new Map<string, LengthFences | null>();
  return {
    byMachine,
    nameOf: (machine) => names.get(machine) ?? machine,
    calibrate,
    tail(machine, seconds) {
      const norm = byMachine.get(machine);
      return norm === undefined ? 1 : calibrate(fittedTail(norm, seconds));
    },
    fences(machine) {
      const norm = byMachine.get(machine);
      if (!fences.has(machine)) fences.set(machine, norm === undefined ? null : lengthFences(norm));
      return fences.get(machine) ?? null;
    },
  };
}
