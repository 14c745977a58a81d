// Due dates as a calendar, read back by an independent parser (ical.js): who gets them, what stands in them, what never does.
import ICAL from "ical.js";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { issueToken } from "../../dashboard/access/tokens.ts";
import { inTurn } from "../../dashboard/access/turn.ts";
import { calendarText, eventName } from "../../dashboard/calendar/ics.ts";
import { Browser, giveAccount, type House, openHouse } from "./house.ts";

const workshop = `workshop: {name: "Quay; Lane, Workshop", zone: America/St_Johns, currency: CAD}
machines:
  - id: compressor
    name: Compressor
    always_on: true
    parts:
      - {id: oil, class: lubricant, fitted: 2026-01-01, tasks: [{id: replace, every: {days: 100000}}, {id: inspect, every: {days: 50000}}]}
  - {id: kiln, name: Kiln, stations: [{station: 4}], parts: [{id: elements, tasks: [{id: replace, every: {cycles: 100}}]}]}
`;

let house: House;
beforeAll(async () => {
  house = await openHouse({ workshop });
  await giveAccount(house.store, "stew", ["steward"]);
});
afterAll(() => house.close());

const issue = (name: string) =>
  inTurn(house.store, (connection) => issueToken(connection, { purpose: "calendar", name, by: "stew" }, new Date()));

const eventsOf = (text: string) => {
  const calendar = new ICAL.Component(ICAL.parse(text));
  return calendar.getAllSubcomponents("vevent").map((component) => new ICAL.Event(component));
};

describe("/calendar.ics", () => {
  it("opens to its secret address, for the whole shop or one machine, and to nobody else", async () => {
    const stranger = new Browser(house.address);
    const { secret } = await issue("ann");
    expect((await stranger.get("/calendar.ics")).status).not.toBe(200);
    expect((await stranger.get("/calendar.ics?token=nothing")).status).not.toBe(200);
    const all = await stranger.get(`/calendar.ics?token=${secret}`);
    expect(all.status).toBe(200);
    expect(all.headers.get("content-type")).toBe("text/calendar; charset=utf-8");
    expect(all.headers.get("cache-control")).toBe("no-store");
    const events = eventsOf(all.text);
    expect(events.map(({ summary }) => summary)).toEqual(["Compressor: inspect oil", "Compressor: replace oil"]);
    // Counted in local days from a local midnight: neither zone nor clock moves it.
    expect(events.map(({ startDate }) => startDate.toString())).toEqual(["2162-11-24", "2299-10-17"]);
    expect(events.every(({ startDate }) => startDate.isDate)).toBe(true);
    expect(events[0]!.uid).toBe(eventName({ machine: "compressor", part: "oil", task: "inspect" }));
    expect(eventsOf((await stranger.get(`/calendar.ics?machine=kiln&token=${secret}`)).text)).toEqual([]);
    expect((await stranger.get(`/calendar.ics?machine=attic&token=${secret}`)).status).toBe(404);
    // A calendar's address opens nothing else.
    expect((await stranger.get(`/api/v1/due?token=${secret}`)).status).toBe(401);
  });

  it("is worth nothing any more once its address was renewed", async () => {
    const stranger = new Browser(house.address);
    const { secret: old } = await issue("ben");
    const { secret } = await issue("ben");
    expect((await stranger.get(`/calendar.ics?token=${old}`)).status).not.toBe(200);
    expect((await stranger.get(`/calendar.ics?token=${secret}`)).status).toBe(200);
  });
});

describe("the calendar's text", () => {
  const task = {
    machine: "saw",
    part: "blade",
    task: "replace",
    machineName: "Säge, groß; alt",
    partName: "blade",
    taskName: "replace",
    state: "overdue",
    due: { early: "2026-03-29" },
    cautions: ["Isolate and lock out.", "A badge holder is no isolator; never trust it, even empty: ".repeat(4)],
  };
  const stamp = new Date("2026-03-01T12:00:00Z");

  it("is the same for the same tasks, folded and escaped as RFC 5545 has it, and reads back as it was", () => {
    const text = calendarText([task, { ...task, part: "belt", due: { early: null } }], { name: "Shop; one", stamp });
    expect(calendarText([task], { name: "Shop; one", stamp })).toBe(text);
    const lines = text.split("\r\n");
    expect(lines.every((line) => Buffer.byteLength(line) <= 75)).toBe(true);
    const events = eventsOf(text);
    expect(events).toHaveLength(1);
    expect(events[0]!.summary).toBe("Säge, groß; alt: replace blade (overdue)");
    expect(events[0]!.description).toBe(task.cautions.join("\n"));
    expect(events[0]!.startDate.toString()).toBe("2026-03-29");
    expect(text).toContain("DTSTAMP:20260301T120000Z");
    expect(text).toContain("DTSTART;VALUE=DATE:20260329");
    expect(text).toMatch(/^BEGIN:VCALENDAR\r\nVERSION:2\.0\r\nPRODID:/);
  });

  it("names an event after its task alone, so that a moved date moves it", () => {
    const moved = calendarText([{ ...task, state: "later", due: { early: "2026-05-01" } }], { name: "Shop", stamp });
    expect(eventsOf(moved)[0]!.uid).toBe(eventName(task));
    expect(eventName({ ...task, part: "belt" })).not.toBe(eventName(task));
  });
});
