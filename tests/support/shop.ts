// A small invented shop and a few weeks of its log in the house format, written by hand so that every hour is known.
import { writeFileSync } from "node:fs";
import { join } from "node:path";

const workshop = `workshop: {name: Heron Row Workshop, zone: Europe/Lisbon, currency: EUR, address_bits: 6}
privacy: {badges: kept}
hours:
  staffed: {tue: ["18:00-22:00"], sat: ["10:00-16:00"]}
  member: {mon: ["08:00-22:00"], wed: ["08:00-22:00"]}
rooms: [{id: wood, name: Wood room}]
machines:
  - {id: planer, name: Planer, group: planer, room: wood, hazard: high, stations: [{station: 21, from: 2025-01-01}], run_factor: {low: 0.4, best: 0.5, high: 0.6}}
  - {id: band-saw, name: Band saw, room: wood, hazard: high, stations: [{station: 22, from: 2025-01-01}]}
  - {id: dust-collector, name: Dust collector, room: wood, hazard: low, driven_by: {planer: {load: 6}, band-saw: {load: 1}}, run_on_seconds: 30}
`;

/** How many sessions the log has, each an hour long, in turn on the planer and the band saw. */
export const sessionsInLog = 60;

/** Writes `workshop.yaml` and `log.csv` (with two bad lines, a blank and a duplicate) into a folder. */
export function writeShop(folder: string): void {
  writeFileSync(join(folder, "workshop.yaml"), workshop);
  const lines = ["time,station,event,badge,sequence,detail"];
  for (let i = 0; i < sessionsInLog; i++) {
    const start = Date.UTC(2025, 2, 3, 9) + i * 11 * 3_600_000;
    const station = 21 + (i % 2);
    const stamp = (ms: number) => new Date(ms).toISOString().replace(".000", "");
    lines.push(
      `${stamp(start)},${station},enable,0041${i % 3},${2 * i + 1},`,
      `${stamp(start + 3_600_000)},${station},release,0041${i % 3},${2 * i + 2},`,
    );
  }
  lines.splice(21, 0, "not a time,21,enable,418,999,", "2025-03-04T09:00:00Z,21,shrug,418,998,", "", lines[3] ?? "");
  writeFileSync(join(folder, "log.csv"), `${lines.join("\n")}\n`);
}

/** What `ingest log.csv` counts. */
export const countsOfLog = {
  lines: 2 * sessionsInLog + 4,
  stored: 2 * sessionsInLog,
  duplicates: 1,
  ignored: 0,
  blank: 1,
  rejected: 2,
  repaired: 0,
};
