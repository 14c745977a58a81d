// The invented members: made-up names, badges with leading zeros, what each may use, and how often each comes.
import type { Calendar } from "./calendar.ts";
import { groups } from "./place.ts";
import type { Chance } from "./random.ts";

export interface Badge {
  badge: string;
  from: number | null;
  until: number | null;
}
export interface Person {
  id: string;
  name: string;
  role: "member" | "maintainer" | "staff";
  /** How often this one comes, against the others. */
  weight: number;
  badges: Badge[];
  /** Groups this one may use; empty means all. */
  groups: string[];
}

const firstNames = "Ada Anouk Bram Cato Dita Edda Falk Greta Hanno Ilse Jory Kaia Lorne Mina Nils Odile Pim Runa Sten Tova".split(
  " ",
);
const birds = "Wren Heron Finch Lark Plover Linnet Siskin Dunnock Curlew Knot Tern Swift Pipit Rook Teal Smew".split(" ");
const trades = "wright joiner turner smith cooper sawyer thatcher fletcher mason tanner glazier chandler".split(" ");

/** 170 to 185 people; a few with a second badge after a lost one, some who join or leave meanwhile. */
export function peopleFrom(calendar: Calendar, chance: Chance): Person[] {
  const count = chance.whole(170, 185);
  const span = calendar.until - calendar.from;
  const midnight = (time: number) => {
    const day = calendar.days[Math.min(calendar.days.length - 1, Math.floor((time - calendar.from) / 86_400))]!;
    return day.from;
  };
  const names = new Set<string>();
  const numbers = new Set<string>();
  const newNumber = () => {
    for (;;) {
      const number = String(chance.whole(100, 39_999)).padStart(6, "0");
      if (numbers.has(number)) continue;
      numbers.add(number);
      return number;
    }
  };
  const newName = () => {
    for (;;) {
      const name = `${chance.pick(firstNames)} ${chance.pick(birds)}${chance.pick(trades)}`;
      if (names.has(name)) continue;
      names.add(name);
      return name;
    }
  };

  const people: Person[] = [];
  for (let index = 0; index < count; index += 1) {
    const role = index < 5 ? "maintainer" : index < 11 ? "staff" : "member";
    const joins = role === "member" && chance.happens(0.22) ? midnight(calendar.from + chance.uniform() * span * 0.9) : null;
    const leaves = role === "member" && chance.happens(0.12) ? midnight(calendar.from + chance.between(0.3, 1) * span) : null;
    const until = leaves !== null && leaves > (joins ?? calendar.from) + 30 * 86_400 ? leaves : null;
    const badges: Badge[] = [{ badge: newNumber(), from: joins, until }];
    if (role === "member" && until === null && chance.happens(0.08)) {
      const lost = midnight((joins ?? calendar.from) + chance.between(0.2, 0.9) * (calendar.until - (joins ?? calendar.from)));
      badges[0]!.until = lost;
      badges.push({ badge: newNumber(), from: lost, until: null });
    }
    people.push({
      id: `p${String(index + 1).padStart(3, "0")}`,
      name: newName(),
      role,
      weight: chance.logNormal(1, 0.9),
      badges,
      groups: role === "member" ? permissions(chance) : [],
    });
  }
  return people;
}

// Training goes by room: most members hold one or two rooms, and not every machine in it.
function permissions(chance: Chance): string[] {
  const wood = chance.happens(0.68);
  const metal = chance.happens(0.48);
  const studio = chance.happens(0.5);
  const held = groups.filter(({ id, room }) => {
    const trained = room === "wood" ? wood : room === "metal" ? metal : studio;
    return trained && chance.happens(id === "kiln" || id === "mill" ? 0.45 : 0.88);
  });
  return held.length > 0 ? held.map(({ id }) => id) : ["drill-press"];
}

/** The badge this one carries at that time, or null when not a member then. Validity is by local days: the last day belongs to it. */
export function badgeAt(person: Person, time: number): string | null {
  for (let index = person.badges.length - 1; index >= 0; index -= 1) {
    const { badge, from, until } = person.badges[index]!;
    if ((from === null || time >= from) && (until === null || time < until)) return badge;
  }
  return null;
}

export const mayUse = (person: Person, group: string) => person.groups.length === 0 || person.groups.includes(group);
