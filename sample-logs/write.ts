// The files a real workshop would have: workshop file, roster, log profile, service list.
import { stringify } from "yaml";
import type { Calendar, OpeningHours } from "./calendar.ts";
import type { TypedFactor } from "./guess.ts";
import { header, houseWords, ignoredWords } from "./mess.ts";
import type { Person } from "./people.ts";
import { addressText, compressor, dustCollector, groups, machines, movedStation, place, rooms } from "./place.ts";

export const profileName = "yard-server.yaml";

const yaml = (opening: string, value: unknown) => `${opening}${stringify(value, { lineWidth: 0, flowCollectionPadding: false })}`;

export function profileText(): string {
  const [time, station, event, badge, sequence, detail] = header.split(";");
  return yaml(
    "# How the yard's station server writes its log: semicolons, day first, wall-clock time without offset, its own words.\n",
    {
      profile: "yard-server",
      format: "csv",
      delimiter: ";",
      comment: "#",
      rows: "events",
      zone: place.zone,
      earliest: 2015,
      fields: {
        time: { column: time, format: "%d/%m/%Y %H:%M:%S" },
        station,
        event: {
          column: event,
          map: Object.fromEntries(Object.entries(houseWords).map(([kind, word]) => [word, kind])),
          ignore: [...ignoredWords],
        },
        badge,
        sequence,
        detail,
      },
      ends: "station",
    },
  );
}

export interface Reading {
  machine: string;
  time: string;
  hours: number;
}
export interface PartInFile {
  machine: string;
  part: Record<string, unknown>;
}
export interface OutageInFile {
  machine: string;
  from: string;
  until?: string;
  reason: string;
}

export function workshopText(world: {
  calendar: Calendar;
  hours: OpeningHours;
  readings: Reading[];
  parts: PartInFile[];
  outages: OutageInFile[];
  factors: ReadonlyMap<string, TypedFactor>;
}): string {
  const { calendar, hours, factors } = world;
  const from = calendar.days[0]!.date;
  const moveDate = calendar.days[Math.floor(calendar.days.length * movedStation.afterShare)]!.date;
  const extras = (id: string) => {
    const readings = world.readings.filter(({ machine }) => machine === id).map(({ time, hours }) => ({ time, hours }));
    const outages = world.outages.filter(({ machine }) => machine === id).map(({ machine: _, ...outage }) => outage);
    const parts = world.parts.filter(({ machine }) => machine === id).map(({ part }) => part);
    return {
      ...(readings.length > 0 ? { meter_readings: readings } : {}),
      ...(outages.length > 0 ? { outages } : {}),
      ...(parts.length > 0 ? { parts } : {}),
    };
  };
  const loads = machines.filter(({ dustLoad }) => dustLoad !== undefined).map(({ id, dustLoad }) => [id, { load: dustLoad }]);
  return yaml("# An invented workshop: nobody works here. Made by the generator of the sample logs.\n", {
    workshop: { name: place.name, zone: place.zone, currency: place.currency, address_bits: place.addressBits },
    profile: profileName,
    hours: { staffed: hours.staffed, member: hours.member, exceptions: hours.exceptions },
    rooms: rooms.map(({ id, name }) => ({ id, name })),
    machines: [
      ...machines.map((machine) => ({
        id: machine.id,
        name: machine.name,
        group: machine.group,
        room: machine.room,
        hazard: machine.hazard,
        ...(machine.alone === undefined ? {} : { alone: machine.alone }),
        price: machine.price,
        life_years: 15,
        from,
        stations:
          machine.id === movedStation.machine
            ? [
                { station: addressText(machine.address), from, until: moveDate },
                { station: addressText(movedStation.address), from: moveDate },
              ]
            : [{ station: addressText(machine.address), from }],
        ...(factors.has(machine.id) ? { run_factor: factors.get(machine.id) } : {}),
        needs: { dust: machine.dustLoad !== undefined, circuit: machine.circuit },
        ...extras(machine.id),
      })),
      {
        id: dustCollector.id,
        name: dustCollector.name,
        room: dustCollector.room,
        price: dustCollector.price,
        from,
        driven_by: Object.fromEntries(loads),
        run_on_seconds: dustCollector.runOnSeconds,
        ...extras(dustCollector.id),
      },
      {
        id: compressor.id,
        name: compressor.name,
        room: compressor.room,
        price: compressor.price,
        from,
        ...extras(compressor.id),
      },
    ],
    roster: "roster.csv",
    privacy: { badges: "kept" },
  });
}

export function rosterText(calendar: Calendar, people: Person[]): string {
  const rows = ["badge,person,name,role,valid_from,valid_until,machines"];
  const day = (time: number | null, shift: number) => (time === null ? "" : calendar.date(time + shift));
  for (const person of people) {
    for (const { badge, from, until } of person.badges) {
      rows.push([badge, person.id, person.name, person.role, day(from, 0), day(until, -3600), person.groups.join(" ")].join(","));
    }
  }
  return `${rows.join("\n")}\n`;
}

export interface ServiceRow {
  time: number;
  timeUntil: number | null;
  machine: string;
  part: string;
  task: string;
  found: "good" | "worn" | "failed" | "damaged" | "unknown";
  why: string;
  meter: number | null;
  reading: string;
  cost: number | null;
  note: string;
  by: string;
}

export function serviceText(calendar: Calendar, services: ServiceRow[]): string {
  const rows = ["time,machine,part,task,found,meter,cost,note,by,until,why,reading"];
  for (const service of services) {
    const { time, timeUntil, machine, part, task, found, why, meter, reading, cost, note, by } = service;
    const cells = [calendar.minute(time), machine, part, task, found, meter ?? "", cost ?? "", note, by];
    rows.push([...cells, timeUntil === null ? "" : calendar.minute(timeUntil), why, reading].map(cell).join(","));
  }
  return `${rows.join("\n")}\n`;
}

function cell(value: string | number): string {
  const text = String(value);
  return /[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

export const groupNames = groups.map(({ id }) => id);
