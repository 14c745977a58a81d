// Words and small sums on the answer about demand, shared by the page, the brief and the year's report.
import type { DemandTold, GroupDemand, Machine, Told } from "../../ask/answers.ts";
import type { ChartRows } from "../../charts/chart.ts";
import { listed, type Reader } from "../../words/reader.ts";

/** What no log of badges can tell; the brief opens with it. */
export const cannotKnow =
  "The log knows only those who badge in. Whoever stopped coming because the machine was always taken, never started, or works elsewhere by now is not in it, and nobody can say how many they are. What stands here is a floor under the wish, not all of it.";

export const isTold = (figure: Told | null | undefined): figure is { low: number; best: number; high: number } =>
  figure !== null && figure !== undefined && "best" in figure;

/** A group is called as the workshop file calls it; a machine that is its own group by its name. */
export function groupName(group: string, machines: readonly Machine[]): string {
  const members = machines.filter((machine) => machine.group === group);
  return members.length === 1 ? members[0]!.name : group;
}

export const figureWords = (figure: Told | null | undefined, reader: Reader): string =>
  isTold(figure) ? reader.range(figure) : "not enough yet";

export const money = (amount: number, currency: string | null, reader: Reader): string =>
  currency === null
    ? reader.figure(amount, 3)
    : new Intl.NumberFormat(reader.locale, {
        style: "currency",
        currency,
        maximumFractionDigits: amount < 100 ? 2 : 0,
        minimumFractionDigits: amount < 100 ? 2 : 0,
      }).format(amount);

/** Cost per member-hour gained, with its range; under a heading that says so `unit` is left out. */
export function costWords(
  { costPerHourGained, price }: GroupDemand,
  currency: string | null,
  reader: Reader,
  unit = " an hour",
): string {
  if (price === null) return "no price in the workshop file";
  if (costPerHourGained === null) return "no hour gained";
  if ("insufficient" in costPerHourGained) return "not enough yet";
  const { low, best, high } = costPerHourGained;
  const end = high === null ? "no upper end" : money(high, currency, reader);
  return `${money(best, currency, reader)}${unit} (${money(low, currency, reader)}–${end})`;
}

/** The groups in order of worth, then those of which nothing can be said. */
export function inOrder({ groups, ranking }: Pick<DemandTold, "groups" | "ranking">): GroupDemand[] {
  const place = (group: string): number => (ranking.includes(group) ? ranking.indexOf(group) : ranking.length);
  return [...groups].sort((a, b) => place(a.group) - place(b.group));
}

export const tieOf = ({ ties }: Pick<DemandTold, "ties">, group: string): string[] =>
  ties.find((tie) => tie.includes(group)) ?? [];

export function worthRows(told: DemandTold, machines: readonly Machine[], reader: Reader): ChartRows["worth"][] {
  return inOrder(told).flatMap((group) =>
    isTold(group.hoursGainedPerMonth)
      ? [
          {
            name: groupName(group.group, machines),
            gained: group.hoursGainedPerMonth,
            says: costWords(group, told.currency, reader),
          },
        ]
      : [],
  );
}

export function wantedRows({ byHourOfWeek, turnHours, units }: GroupDemand): ChartRows["wantedMap"][] {
  if (turnHours === null || units === 0) return [];
  return byHourOfWeek.map(({ hourOfWeek, arrivals }) => ({
    hourOfWeek,
    turns: arrivals,
    filled: (arrivals.best * turnHours.best) / units,
  }));
}

/** What a further unit needs and whether the shop has it, in words. */
export function needsWords({ needs }: GroupDemand, machines: readonly Machine[]): string | null {
  if (needs.length === 0) return null;
  const nameOf = (id: string): string => machines.find(({ machine }) => machine === id)?.name ?? id;
  return needs
    .map(({ need, value, presentAt }) => {
      const what = value === true ? need : `${need} ${value}`;
      return presentAt.length > 0
        ? `${what}: there for ${listed(presentAt.slice(0, 3).map(nameOf))}${presentAt.length > 3 ? " and others" : ""}; whether there is room for one more the file can't tell`
        : `${what}: nothing in the room has it`;
    })
    .join("; ");
}

/** "The laser cutter", or the tie it stands in. */
export function bestWords(told: DemandTold, machines: readonly Machine[]): { names: string[]; isTie: boolean } {
  const [first] = told.ranking;
  if (first === undefined) return { names: [], isTie: false };
  const tie = tieOf(told, first);
  const names = (tie.length > 0 ? tie : [first]).map((group) => groupName(group, machines));
  return { names, isTie: tie.length > 0 };
}
