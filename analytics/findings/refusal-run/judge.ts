// Which runs of refusals are more than chance and more than people's habit of trying again.
import { falseDiscovery } from "../../stats/false-discovery.ts";
import { scanTail } from "../../stats/scan.ts";

export interface Run {
  station: string;
  badges: number;
  count: number;
  /** Seconds since the first, ascending. */
  times: readonly number[];
}

/** Windows over which the densest part of a run is looked for, in seconds. */
const WINDOWS = [30, 60, 120, 300, 900] as const;
/** One run in so many is somebody who should be talked to, as a rule. */
const USUAL_SHARE = 1 / 50;
const FEWEST = 2;

/** How often somebody who was refused tries again at once, and then goes on. */
export interface Habit {
  again: number;
  goesOn: number;
}

/**
 * The shop's own habit, from its short runs (up to three), so that the runs sought have no say; with nothing to go by one in four
 * tries again, and of those every other goes on.
 */
export function habitOf(runs: readonly Run[]): Habit {
  const short = runs.filter(({ count }) => count <= 3);
  const again = short.filter(({ count }) => count >= 2).length;
  const thrice = short.filter(({ count }) => count === 3).length;
  return { again: (again + 1) / (short.length + 4), goesOn: (thrice + 1) / (again + 2) };
}

/** How often somebody who is refused tries that many times or more, by habit alone. */
const habitTail = ({ again, goesOn }: Habit, count: number): number => again * goesOn ** (count - 2);

/** The most refusals within any window of that length. */
export function densest(times: readonly number[], window: number): number {
  let most = 0;
  let first = 0;
  for (const [last, time] of times.entries()) {
    while (time - times[first]! > window) first++;
    most = Math.max(most, last - first + 1);
  }
  return most;
}

/**
 * Runs beyond chance. By the scan statistic: how likely is a window as dense somewhere at this station, refusals coming one by one at
 * its own rate (several windows are tried, and paid for)? And where it was one badge: how often does somebody who is refused
 * try that many times? The less surprising of the two counts.
 */
export function tooDense<One extends Run>(
  runs: readonly One[],
  { rate, openSeconds }: { rate: number; openSeconds: number },
): { runs: (One & { tail: number; windowSeconds: number })[]; threshold: number; falsePerRun: number; habit: Habit } {
  const habit = habitOf(runs);
  const tries = new Map<string, number>();
  for (const { station } of runs) tries.set(station, (tries.get(station) ?? 0) + 1);
  const time = Math.max(openSeconds, WINDOWS.at(-1)!);
  const judged = runs
    .filter(({ count }) => count >= FEWEST)
    .map((run) => {
      let chance = 1;
      let windowSeconds: number = WINDOWS[0];
      for (const window of WINDOWS) {
        const count = densest(run.times, window);
        if (count < FEWEST) continue;
        const tail = scanTail({ count, window, time, expected: tries.get(run.station)! });
        if (tail < chance) [chance, windowSeconds] = [tail, window];
      }
      const scan = Math.min(1, chance * WINDOWS.length);
      const tail = run.badges > 1 ? scan : Math.max(scan, habitTail(habit, run.count));
      return { ...run, tail, windowSeconds };
    });
  const { threshold } = falseDiscovery(
    judged.map(({ tail }) => tail),
    { rate, tests: Math.max(1, runs.length), usualShare: USUAL_SHARE },
  );
  // Tries are whole: the level that habit really gives is that of the first length beyond the line.
  let length = FEWEST;
  while (habitTail(habit, length) > threshold) length++;
  return { runs: judged.filter(({ tail }) => tail <= threshold), threshold, falsePerRun: habitTail(habit, length), habit };
}
