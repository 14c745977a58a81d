// What a further unit of each group would be bought as: like its first one that has a price in the workshop file.
import type { Purchase } from "../../analytics/index.ts";
import { lifeYears } from "../../analytics/index.ts";
import type { Workshop } from "../../shared/workshop-schema.ts";

type Machine = Workshop["machines"][number];

const groupOf = (machine: Machine): string => machine.group ?? machine.id;

/**
 * Price, life and needs by group. What a unit needs is held against the machines of the same rooms: those that have the same already,
 * and for dust the machines that run with one of them. Whether there is one to spare the file can't tell.
 */
export function purchasesFrom({ machines }: Workshop): Map<string, Purchase> {
  const purchases = new Map<string, Purchase>();
  for (const group of new Set(machines.map(groupOf))) {
    const units = machines.filter((machine) => groupOf(machine) === group);
    const model = units.find(({ price }) => price !== undefined) ?? units[0]!;
    purchases.set(group, {
      price: model.price ?? null,
      lifeYears: model.life_years ?? lifeYears,
      needs: Object.entries(model.needs)
        .filter(([, value]) => value !== false)
        .map(([need, value]) => ({ need, value, presentAt: havingSame(machines, units, need, value) })),
    });
  }
  return purchases;
}

function havingSame(machines: readonly Machine[], units: readonly Machine[], need: string, value: unknown): string[] {
  const rooms = new Set(units.map(({ room }) => room));
  const ids = new Set(units.map(({ id }) => id));
  return machines
    .filter((machine) => {
      const isDriven = value === true && Object.keys(machine.driven_by ?? {}).some((driver) => ids.has(driver));
      return isDriven || (rooms.has(machine.room) && machine.needs[need] === value);
    })
    .map(({ id }) => id);
}
