// What the workshop file and the service record know together of a machine: meter readings and outages.
import type { DuckDBConnection } from "@duckdb/node-api";
import { perform, question } from "./question.ts";

const meter = question(import.meta.url, "./config-tables/machine-meter.sql");
const outage = question(import.meta.url, "./config-tables/machine-outage.sql");

/** Rewrites machine_meter and machine_outage; to be called, in the same transaction, after every change of either side. */
export async function joinBench(connection: DuckDBConnection): Promise<void> {
  await connection.run("DELETE FROM machine_meter");
  await perform(connection, meter);
  await connection.run("DELETE FROM machine_outage");
  await perform(connection, outage);
}
