// The steward's month on one page: what nobody has claimed, what runs out, whether a copy of it all exists, what was not understood.
import { statSync } from "node:fs";
import { statfs } from "node:fs/promises";
import { dirname } from "node:path";
import { ask, dayAfter, question } from "../shared/index.ts";
import type { Answer, Desk, Row } from "./commands/command.ts";

const unclaimed = question(import.meta.url, "./setup/unclaimed-stations.sql");
const strangers = question(import.meta.url, "./questions/rounds-badges.sql");
const permissions = question(import.meta.url, "./questions/rounds-permissions.sql");
const clocks = question(import.meta.url, "./questions/rounds-clocks.sql");
const lastBackup = question(import.meta.url, "./questions/last-backup.sql");
const reasons = question(import.meta.url, "./questions/reject-reasons.sql");
const localClock = question(import.meta.url, "./questions/calendar.sql");

const monthMs = 31 * 86_400_000;
const soonDays = 45;
/** A backup older than this is one that nobody makes any more. */
const oldBackupDays = 8;
const leastFreeShare = 0.1;

/** One thing to look at: what it is, whether it wants doing, and in words. */
export interface Round {
  id: "stations" | "badges" | "clocks" | "readings" | "permissions" | "backup" | "disk" | "rejects";
  name: string;
  wantsDoing: boolean;
  says: string;
  details: string[];
}

export async function roundsOf({ connection, span, store, workshop }: Desk): Promise<Answer> {
  const { asOf, zone } = span;
  const since = new Date(asOf.getTime() - monthMs);
  const month = { since, until: new Date(asOf.getTime() + 1) };
  const [{ today = "" } = {}] = await ask<{ today: string }>(connection, localClock, {
    now: asOf,
    first: null,
    last: null,
    zone,
  });
  const rounds: Round[] = [
    stationsRound(await ask(connection, unclaimed, { zone })),
    badgesRound(await ask(connection, strangers, { ...month, zone }), workshop.roster.length > 0),
    clocksRound(await ask(connection, clocks, month)),
    await readingsRound(connection, asOf, zone),
    permissionsRound(
      await ask(connection, permissions, { today, soon: dayAfter(today, soonDays), lately: dayAfter(today, -31) }),
      workshop.roster.length > 0,
    ),
    backupRound(await ask(connection, lastBackup, { zone }), asOf),
    await diskRound(store.path),
    rejectsRound(await ask(connection, reasons, { shown: 1 })),
  ];
  return {
    head: { asOf, today, toDo: rounds.filter(({ wantsDoing }) => wantsDoing).length },
    list: { name: "rounds", rows: rounds as unknown as Row[] },
    text: textOf(rounds),
  };
}

const textOf = (rounds: readonly Round[]): string =>
  rounds
    .map(
      ({ name, wantsDoing, says, details }) =>
        `${wantsDoing ? "to do " : "fine  "} ${name}: ${says}\n${details.map((line) => `         ${line}\n`).join("")}`,
    )
    .join("");

const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

function stationsRound(rows: { station: string; sessions: number; lastDay: string }[]): Round {
  return {
    id: "stations",
    name: "Stations",
    wantsDoing: rows.length > 0,
    says:
      rows.length === 0
        ? "every station of the log belongs to a machine."
        : `${counted(rows.length, "station")} of the log ${rows.length === 1 ? "belongs" : "belong"} to no machine; name ${rows.length === 1 ? "it" : "them"} on Setup.`,
    details: rows
      .slice(0, 8)
      .map(({ station, sessions, lastDay }) => `station ${station}: ${counted(sessions, "session")}, last on ${lastDay}`),
  };
}

function badgesRound(rows: { badge: string; sessions: number; lastDay: string }[], hasRoster: boolean): Round {
  const says = !hasRoster
    ? "there is no roster, so nobody can tell whose a badge is."
    : rows.length === 0
      ? "every badge of the last month is on the roster."
      : `${counted(rows.length, "badge")} of the last month ${rows.length === 1 ? "is" : "are"} not on the roster.`;
  return {
    id: "badges",
    name: "Badges",
    wantsDoing: rows.length > 0,
    says,
    details: rows
      .slice(0, 8)
      .map(
        ({ badge, sessions, lastDay }) =>
          `badge ${badge.length > 16 ? `${badge.slice(0, 12)}…` : badge}: ${counted(sessions, "session")}, last on ${lastDay}`,
      ),
  };
}

function clocksRound(rows: { what: string; lines: number; stations: number; station: string | null }[]): Round {
  const lines = rows.reduce((sum, row) => sum + row.lines, 0);
  return {
    id: "clocks",
    name: "Clocks",
    wantsDoing: lines > 0,
    says:
      lines === 0
        ? "no stamp of the last month had to be put right."
        : `${counted(lines, "line")} of the last month had a stamp that had to be put right; a small server without a battery clock, or one that doesn't reach a time server, is the usual reason.`,
    details: rows
      .slice(0, 6)
      .map(
        ({ what, lines, stations, station }) =>
          `${what}: ${counted(lines, "line")}, ${station === null ? counted(stations, "station") : `station ${station}`}`,
      ),
  };
}

async function readingsRound(connection: Desk["connection"], asOf: Date, zone: string): Promise<Round> {
  const { runFactors } = await import("../analytics/index.ts");
  const { factors, questions } = await runFactors(connection, { asOf, zone });
  const assumed = factors.filter(({ source }) => source === "assumed").map(({ machine }) => machine);
  const isWanted = questions.length > 0 || assumed.length > 0;
  return {
    id: "readings",
    name: "Meter readings",
    wantsDoing: isWanted,
    says: !isWanted
      ? "every machine's run factor is known, and no reading is in doubt."
      : [
          questions.length ? `${counted(questions.length, "reading")} ${questions.length === 1 ? "is" : "are"} in doubt.` : "",
          assumed.length
            ? `Of ${counted(assumed.length, "machine")} nobody has said how much of its badge time the motor runs: two readings of an hour meter, some weeks apart, tell it.`
            : "",
        ]
          .filter(Boolean)
          .join(" "),
    details: [
      ...questions.slice(0, 6).map(({ text }) => text),
      ...(assumed.length ? [`without a run factor: ${assumed.slice(0, 12).join(", ")}${assumed.length > 12 ? " …" : ""}`] : []),
    ],
  };
}

function permissionsRound(
  rows: { name: string; role: string; machines: string; validUntil: string; isOver: boolean }[],
  hasRoster: boolean,
): Round {
  return {
    id: "permissions",
    name: "Permissions",
    wantsDoing: rows.length > 0,
    says: !hasRoster
      ? "there is no roster, so no permission can run out."
      : rows.length === 0
        ? `none runs out within ${soonDays} days.`
        : `${counted(rows.length, "permission")} ${rows.length === 1 ? "runs" : "run"} out within ${soonDays} days, or did so last month.`,
    details: rows.slice(0, 20).map(({ name, machines, validUntil, isOver }) => {
      const of = (JSON.parse(machines) as string[]).join(", ");
      return `${name}${of ? ` (${of})` : ""}: ${isOver ? "ended" : "until"} ${validUntil}`;
    }),
  };
}

function backupRound([backup]: { file: string; madeAt: Date; madeDay: string; bytes: number }[], asOf: Date): Round {
  const days = backup ? Math.floor((Math.max(asOf.getTime(), Date.now()) - backup.madeAt.getTime()) / 86_400_000) : null;
  return {
    id: "backup",
    name: "Backup",
    wantsDoing: days === null || days > oldBackupDays,
    says:
      backup === undefined || days === null
        ? "none was ever made; almanac backup makes one and reads it back whole."
        : `the last is of ${backup.madeDay}, ${counted(days, "day")} old; it was read back whole when it was made.`,
    details: backup ? [`${backup.file}, ${(backup.bytes / 2 ** 20).toFixed(1)} MiB`] : [],
  };
}

async function diskRound(path: string): Promise<Round> {
  if (path === ":memory:") return { id: "disk", name: "Disk", wantsDoing: false, says: "there is no store yet.", details: [] };
  const { bavail, bsize, blocks } = await statfs(dirname(path));
  const [free, all, store] = [bavail * bsize, blocks * bsize, statSync(path).size];
  const gib = (bytes: number): string => `${(bytes / 2 ** 30).toFixed(bytes < 2 ** 30 ? 2 : 1)} GiB`;
  return {
    id: "disk",
    name: "Disk",
    wantsDoing: free < leastFreeShare * all || free < 3 * store,
    says: `${gib(free)} of ${gib(all)} are free; the store takes ${gib(store)}.`,
    details: [],
  };
}

function rejectsRound(rows: { reason: string; rejects: number }[]): Round {
  const lines = rows.reduce((sum, { rejects }) => sum + rejects, 0);
  return {
    id: "rejects",
    name: "Rejected lines",
    wantsDoing: lines > 0,
    says:
      lines === 0
        ? "none stands rejected."
        : `${counted(lines, "line")} ${lines === 1 ? "stands" : "stand"} rejected, for ${counted(rows.length, "reason")}; a mended profile reads them again.`,
    details: rows.slice(0, 6).map(({ reason, rejects }) => `${counted(rejects, "line")}: ${reason}`),
  };
}
