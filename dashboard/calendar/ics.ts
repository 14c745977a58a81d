// Due dates as a calendar (RFC 5545): one event for each task on the earliest day that is likely, machine and task only.
import { createHash } from "node:crypto";
import ical, { ICalCalendarMethod } from "ical-generator";

/** What an event needs to know of a task, as `due` answers it. */
export interface CalendarTask {
  machine: string;
  part: string;
  task: string;
  machineName: string;
  partName: string;
  taskName: string;
  state: string;
  due: { early: string | null };
  cautions: readonly string[];
}

/** The same task has the same name for ever, whatever its date: a calendar then moves the event it has. */
export function eventName({ machine, part, task }: Pick<CalendarTask, "machine" | "part" | "task">): string {
  const mark = createHash("sha256")
    .update(JSON.stringify([machine, part, task]))
    .digest("hex")
    .slice(0, 32);
  return `${mark}@workshop-almanac`;
}

/**
 * The calendar's text, in the order of the tasks; those without a date are left out. `stamp` is the instant from which the dates are
 * seen. No member, badge or note: whoever has the address may read it.
 */
export function calendarText(
  tasks: readonly CalendarTask[],
  { name, stamp, method = ICalCalendarMethod.PUBLISH }: { name: string; stamp: Date; method?: ICalCalendarMethod },
): string {
  const calendar = ical({
    name,
    method,
    prodId: { company: "Workshop Almanac", product: "due dates", language: "EN" },
    ttl: 6 * 3600,
  });
  for (const task of tasks) {
    const { early } = task.due;
    if (early === null) continue;
    calendar.createEvent({
      id: eventName(task),
      start: new Date(`${early}T00:00:00Z`),
      allDay: true,
      stamp,
      summary: `${task.machineName}: ${task.taskName} ${task.partName}${task.state === "overdue" ? " (overdue)" : ""}`,
      description: task.cautions.join("\n"),
    });
  }
  return calendar.toString();
}
