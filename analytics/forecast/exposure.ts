// How much use a day invites, before anything is said of how much there is: by day of the week, opening hours and outages.

/** What is known of the days of a span that begins in the past and reaches ahead; index 0 is its first local day. */
export interface Days {
  count: number;
  /** 0 Monday to 6 Sunday, of day 0. */
  firstWeekday: number;
  /** Open hours of each day; null where the workshop has no opening hours, and every day counts alike. */
  openHours: Float64Array | null;
}

export const weekdayOf = ({ firstWeekday }: Pick<Days, "firstWeekday">, day: number): number =>
  (((firstWeekday + day) % 7) + 7) % 7;

/** One machine as its exposure needs it. `out[day]` is the share of the day that it is out of order. */
export interface Exposed {
  group: string;
  use: Float64Array;
  /** The days from which and until which (excluded) it is in the shop. */
  from: number;
  until: number;
  out: Float64Array;
}

/** As if so many starts or hours had been seen of the shop's own week beside those of a group. */
const PRIOR_WEEKS = 6;
/** The last year tells the week; older habits are forgotten. */
const WEEK_DAYS = 364;

/**
 * Relative use that each day of the span invites from each machine: the pace of its group on that day of the week by the open
 * hour, times the hours open, times the share of the day in order. A day on which the workshop is closed invites as much as the
 * machine's own use on closed days so far, next to that on open ones; a machine never used while closed gets exactly 0. Over
 * `known` (days before it are history) the mean is about 1. Empty where there are no machines.
 */
export function exposures(machines: readonly Exposed[], days: Days, known: number): Float64Array[] {
  const since = Math.max(0, known - WEEK_DAYS);
  const hoursOf = (day: number): number => (days.openHours === null ? 1 : days.openHours[day]!);
  const shop = weekOf(machines, days, since, known, null);
  const groups = new Map<string, Float64Array>();
  for (const { group } of machines) {
    if (groups.has(group)) continue;
    groups.set(
      group,
      weekOf(
        machines.filter((machine) => machine.group === group),
        days,
        since,
        known,
        shop,
      ),
    );
  }
  let hours = 0;
  let open = 0;
  for (let day = since; day < known; day++) {
    const today = hoursOf(day);
    hours += today;
    if (today > 0) open += 1;
  }
  const meanHours = open === 0 ? 1 : hours / open;
  return machines.map((machine) => {
    const week = groups.get(machine.group)!;
    const closed = closedPace(machine, days, known);
    return Float64Array.from({ length: days.count }, (_, day) => {
      if (day < machine.from || day >= machine.until) return 0;
      const today = hoursOf(day);
      const invited = today > 0 ? week[weekdayOf(days, day)]! * (today / meanHours) : closed;
      return invited * (1 - machine.out[day]!);
    });
  });
}

/** Pace by day of the week and open hour, 1 on average over open hours; of a group with the shop's own week as prior. */
function weekOf(
  machines: readonly Exposed[],
  days: Days,
  since: number,
  until: number,
  prior: Float64Array | null,
): Float64Array {
  const use = new Float64Array(7);
  const hours = new Float64Array(7);
  for (const machine of machines) {
    for (let day = Math.max(since, machine.from); day < Math.min(until, machine.until); day++) {
      const open = (days.openHours === null ? 1 : days.openHours[day]!) * (1 - machine.out[day]!);
      if (open <= 0) continue;
      const weekday = weekdayOf(days, day);
      use[weekday]! += machine.use[day]!;
      hours[weekday]! += open;
    }
  }
  const allUse = use.reduce((sum, one) => sum + one, 0);
  const allHours = hours.reduce((sum, one) => sum + one, 0);
  const week = new Float64Array(7).fill(1);
  if (allUse <= 0 || allHours <= 0) return prior ?? week;
  const pace = allUse / allHours;
  // A shop is not all of one kind of week; the shop's own is held against an even one in the same way.
  const weeksSeen = Math.max(1, (until - since) / 7);
  const strength = (PRIOR_WEEKS / weeksSeen) * (allUse / 7);
  for (let weekday = 0; weekday < 7; weekday++) {
    const expected = pace * (prior?.[weekday] ?? 1) * hours[weekday]!;
    week[weekday] = (prior?.[weekday] ?? 1) * ((use[weekday]! + strength) / (expected + strength));
  }
  return week;
}

/** Use on a closed day next to that on an open one, of this machine alone. */
function closedPace(machine: Exposed, days: Days, known: number): number {
  if (days.openHours === null) return 0;
  const sums = { open: 0, openDays: 0, closed: 0, closedDays: 0 };
  for (let day = machine.from; day < Math.min(known, machine.until); day++) {
    const inOrder = 1 - machine.out[day]!;
    if (days.openHours[day]! > 0) {
      sums.open += machine.use[day]!;
      sums.openDays += inOrder;
    } else {
      sums.closed += machine.use[day]!;
      sums.closedDays += inOrder;
    }
  }
  if (sums.closed <= 0) return 0;
  if (sums.open <= 0) return 1;
  return sums.closed / Math.max(1, sums.closedDays) / (sums.open / Math.max(1, sums.openDays));
}
