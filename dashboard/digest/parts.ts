// What each role's week is made of, from the commands that are there.
import { GENERAL_CAUTIONS } from "../../analytics/index.ts";
import { dayAfter } from "../../shared/times.ts";
import type { Role } from "../access/rights.ts";
import type { Desk, Row } from "../commands/command.ts";
import type { DigestPart } from "./compose.ts";

/** The rows of a command's list on this desk; null where there is no such command. */
async function rowsOf(
  desk: Desk,
  name: string,
  options: Record<string, unknown> = {},
  isForBoard = false,
): Promise<Row[] | null> {
  const command = desk.surroundings.commands.find((one) => one.name === name);
  if (command === undefined || command.needs === "nothing") return null;
  const board = command.forBoard;
  if (isForBoard && (board === undefined || board === "same")) return null;
  const answer =
    isForBoard && board !== undefined && board !== "same"
      ? await board.run(desk, board.options.parse(options))
      : await command.run(desk, command.options.parse(options));
  return answer.list !== undefined && "rows" in answer.list ? answer.list.rows : [];
}

interface Due {
  machineName: string;
  partName: string;
  taskName: string;
  state: string;
  due: { early: string | null; median: string | null; late: string | null };
  notes: string[];
}

const dueLine = ({ machineName, partName, taskName, state, due }: Due): string => {
  const { early, median, late } = due;
  const when =
    state === "overdue"
      ? `overdue since about ${median ?? "nobody knows when"}`
      : median === null
        ? "no date"
        : `about ${median}${early && late ? ` (${early} to ${late})` : ""}`;
  return `${machineName}, ${partName}: ${taskName}, ${when}`;
};

async function maintenance(desk: Desk): Promise<DigestPart[]> {
  const due = ((await rowsOf(desk, "due")) ?? []) as unknown as Due[];
  const of = (...states: string[]): string[] => due.filter(({ state }) => states.includes(state)).map(dueLine);
  const spares = (await rowsOf(desk, "spares")) ?? [];
  const outages = ((await rowsOf(desk, "outage list")) ?? []).filter(({ until }) => until === null);
  const notes = (await rowsOf(desk, "note list", { open: true })) ?? [];
  const asked = (await rowsOf(desk, "asking")) ?? [];
  const evenings = ((await rowsOf(desk, "evenings")) ?? []) as unknown as {
    machineName: string;
    day: string;
    tasks: { partName: string; taskName: string }[];
  }[];
  const isolate = [
    "Isolate the machine and lock out its energy source at the isolator, wait for run-down, test that it is dead. Follow the maker's manual and your local codes.",
    GENERAL_CAUTIONS[0]!,
  ];
  return [
    { title: "Due now", lines: of("overdue", "now"), nothing: "Nothing is due now.", cautions: isolate },
    { title: "Due soon", lines: of("soon"), nothing: "Nothing is due soon.", cautions: isolate },
    {
      title: "One lock-out",
      lines: evenings.map(
        ({ machineName, day, tasks }) =>
          `${machineName} on ${day}: ${tasks.map(({ partName, taskName }) => `${partName}, ${taskName}`).join("; ")}`,
      ),
      nothing: "No two tasks of a machine meet.",
      cautions: isolate,
    },
    {
      title: "The one reading worth having",
      lines: asked.slice(0, 1).map(({ text }) => String(text)),
      nothing: "Nothing that anybody could read would change a date.",
    },
    {
      title: "To order",
      lines: spares
        .filter(({ orderBy }) => orderBy !== null)
        .map(
          ({ machineName, partName, toBuy, orderBy, inStock }) =>
            `${machineName}, ${partName}: ${toBuy} by ${orderBy} (${inStock} on the shelf)`,
        ),
      nothing: "Nothing has to be ordered.",
    },
    {
      title: "Tagged out",
      lines: outages.map(({ machine, from, reason }) => `${machine} since ${dayText(from)}${reason ? `: ${reason}` : ""}`),
      nothing: "No machine is tagged out.",
      cautions: ["A tag is a note and no lock-out."],
    },
    {
      title: "Said of machines",
      lines: notes.map(({ machine, text }) => `${machine}: ${text}`),
      nothing: "Nobody has said that anything is wrong.",
    },
    {
      title: "Not known",
      lines: due
        .filter(({ state }) => state === "unknown")
        .map(({ machineName, partName, taskName }) => `${machineName}, ${partName}: when was ${taskName} last done?`),
      nothing: "It is known of every task when it was last done.",
    },
  ];
}

async function board(desk: Desk): Promise<DigestPart[]> {
  const hours = (await rowsOf(desk, "hours", { by: "month" }, true)) ?? [];
  const last = hours.reduce((latest, { from }) => (String(from) > latest ? String(from) : latest), "");
  const figure = (value: unknown): string => {
    const best = (value as { best?: number | null } | null)?.best;
    return best === null || best === undefined ? "held back" : `${Math.round(best)} h`;
  };
  const demand = await rowsOf(desk, "demand", {}, true);
  return [
    {
      title: "The last whole month",
      lines: hours
        .filter(({ from }) => String(from) === last)
        .map(({ machine, enabledHours }) => `${machine}: ${figure(enabledHours)} enabled`),
      nothing: "No whole month can be shown yet.",
    },
    ...(demand === null
      ? []
      : [
          {
            title: "Behind busy machines",
            lines: demand.map(({ group, turnedAwayPerMonth }) => {
              const best = (turnedAwayPerMonth as { best?: number | null } | null)?.best;
              return `${group}: ${best === null || best === undefined ? "not known" : `about ${Math.round(best)}`} turned away a month`;
            }),
            nothing: "Nothing can be said of demand yet.",
          },
        ]),
  ];
}

async function safety(desk: Desk): Promise<DigestPart[]> {
  const findings = await rowsOf(desk, "findings", { state: "open" });
  const grave = ["grave", "high", "medium", "low"];
  return [
    {
      title: "Open findings",
      lines: [...(findings ?? [])]
        .sort((a, b) => grave.indexOf(String(a.severity)) - grave.indexOf(String(b.severity)))
        .slice(0, 40)
        // Evidence may name a badge; it stays on the page.
        .map(
          ({ severity, rule, machine, group, room, from }) =>
            `${severity}: ${rule}, ${machine ?? group ?? room ?? "the workshop"}, ${dayText(from)}`,
        ),
      nothing: findings === null ? "This version looks for no findings." : "No finding is open.",
      cautions: ["A finding says what a log shows and never who is to blame; the log sees badges, not people."],
    },
  ];
}

async function steward(desk: Desk): Promise<DigestPart[]> {
  const rejects = (await rowsOf(desk, "rejects")) ?? [];
  const asks = (await rowsOf(desk, "service asks")) ?? [];
  const rounds = await rowsOf(desk, "rounds");
  return [
    {
      title: "The log",
      lines: rejects.length === 0 ? [] : [`${rejects.length} lines of the log were not understood: almanac rejects`],
      nothing: "Every line of the log was understood.",
    },
    {
      title: "The service record",
      lines: asks.length === 0 ? [] : [`of ${asks.length} tasks nobody has said when they were last done: almanac service asks`],
      nothing: "It is known of every task when it was last done.",
    },
    ...(rounds === null
      ? []
      : [
          {
            title: "Rounds",
            lines: rounds.map((row) => Object.values(row).map(String).join(", ")),
            nothing: "Nothing for the rounds.",
          },
        ]),
  ];
}

const dayText = (at: unknown): string => (at instanceof Date ? at.toISOString() : String(at)).slice(0, 10);

export const partsFor: Record<Role, (desk: Desk) => Promise<DigestPart[]>> = { maintenance, board, safety, steward };

/** The Monday of a day's week. */
export function mondayOf(day: string): string {
  const weekday = (new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7;
  return dayAfter(day, -weekday);
}
