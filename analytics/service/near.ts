// A few sessions in place of all: questions that look for stretches in many small windows go through every session for each.
import type { DuckDBConnection } from "@duckdb/node-api";
import { perform, question } from "../../shared/question.ts";

const nearSessions = question(import.meta.url, "./near-sessions.sql");
const nearMotors = question(import.meta.url, "./near-motors.sql");
const tailSessions = question(import.meta.url, "./tail-sessions.sql");
const tailMotors = question(import.meta.url, "./tail-motors.sql");

/** Work in which this connection sees only sessions and motor stretches near the rest of the days of service_point. */
export async function nearPoints<T>(connection: DuckDBConnection, work: () => Promise<T>): Promise<T> {
  await perform(connection, nearSessions);
  await perform(connection, nearMotors);
  return seeingFew(connection, work);
}

/** Work in which this connection sees only what can reach beyond a moment. */
export async function beyond<T>(connection: DuckDBConnection, from: string, work: () => Promise<T>): Promise<T> {
  await perform(connection, tailSessions, { from });
  await perform(connection, tailMotors, { from });
  return seeingFew(connection, work);
}

/** Temporary tables of the same names are seen first; they are gone afterwards, whatever happens. */
async function seeingFew<T>(connection: DuckDBConnection, work: () => Promise<T>): Promise<T> {
  try {
    await connection.run("CREATE TEMP TABLE session AS FROM service_session");
    await connection.run("CREATE TEMP TABLE motor AS FROM service_motor");
    return await work();
  } finally {
    await connection.run("DROP TABLE IF EXISTS temp.main.session");
    await connection.run("DROP TABLE IF EXISTS temp.main.motor");
  }
}
