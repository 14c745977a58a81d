// `/calendar.ics`: due dates for a calendar program, whole shop or one machine.
import type { Request, RequestHandler, Response } from "express";
import { type Command, commandNamed } from "../commands/command.ts";
import { quiet } from "../progress.ts";
import { type Holder, runCommand } from "../run.ts";
import { WebError } from "../server/problem.ts";
import type { CalendarTask } from "./ics.ts";

export interface CalendarSettings {
  holder: Holder;
  commands: readonly Command[];
  workshop: string;
}

export function calendarRoute({ holder, commands, workshop }: CalendarSettings): RequestHandler {
  return async (request: Request, response: Response) => {
    const { machine } = request.query;
    const stop = new AbortController();
    response.on("close", () => stop.abort());
    const ask = (name: string) =>
      runCommand(
        commandNamed(commands, name),
        { workshop, store: holder.store.path },
        {
          cwd: process.cwd(),
          stdin: async () => "",
          progress: quiet,
          signal: stop.signal,
          who: "calendar",
          asOfDefault: "now",
          commands,
        },
        holder,
      );
    const clock = await ask("calendar");
    const due = await ask("due");
    const rows = due.list !== undefined && "rows" in due.list ? (due.list.rows as unknown as CalendarTask[]) : [];
    if (machine !== undefined) {
      const machines = await ask("machines");
      const known = machines.list !== undefined && "rows" in machines.list ? machines.list.rows.map((row) => row.machine) : [];
      if (!known.includes(machine)) throw new WebError(404, { field: "machine", value: machine, expected: known.join(", ") });
    }
    const { calendarText } = await import("./ics.ts");
    const tasks = machine === undefined ? rows : rows.filter((row) => row.machine === machine);
    const about = machine === undefined ? "due" : `due, ${tasks[0]?.machineName ?? String(machine)}`;
    const text = calendarText(tasks, { name: `${clock.head.workshop}: ${about}`, stamp: new Date(String(due.head.asOf)) });
    // A calendar program asks of itself, and keeps what it got.
    response.set("cache-control", "no-store").type("text/calendar").send(text);
  };
}
