// What a leaf is: an address, what it asks for, and how it shows it. The same on the server and in a browser.
import type { JSX } from "preact";
import type { Need } from "../../access/rights.ts";
import type { Calendar } from "../ask/answers.ts";
import type { Asker } from "../ask/ask.ts";
import type { Period, Query } from "../period/period.ts";
import type { Reader } from "../words/reader.ts";

/** One look at one address by one reader. */
export interface Visit {
  path: string;
  /** What the path names, e.g. the machine of /machines/planer. */
  params: Readonly<Record<string, string>>;
  query: Query;
  calendar: Calendar;
  period: Period;
  reader: Reader;
  may: readonly Need[];
}

export interface Leaf<Data = unknown> {
  id: string;
  /** `/machines/:machine`: a part with a colon stands for one name. */
  path: string;
  /** As the contents list it; a leaf without is reached from another. */
  entry?: string;
  title(visit: Visit, data: Data): string;
  need: Need;
  /** Whether an empty log leaves nothing to show here. */
  readsLog: boolean;
  /** Whether the days of the period chooser matter here. */
  hasPeriod: boolean;
  /** Whether it can be made where there is no sound workshop file yet. */
  goesWithoutWorkshop?: true;
  /** Whether it can be set beside the days before. */
  compares?: boolean;
  /** Plain data, as JSON keeps it; null where the address names nothing that is there. */
  load(asker: Asker, visit: Visit): Promise<Data | null>;
  View(props: { data: Data; visit: Visit }): JSX.Element;
}

/** Ties a leaf's data to its view, then forgets them so that all leaves stand in one list. */
export const leaf = <Data>(made: Leaf<Data>): Leaf => made as unknown as Leaf;

/** What the path names, or null where it is another's. */
export function paramsOfPath(pattern: string, path: string): Record<string, string> | null {
  const wanted = pattern.split("/");
  const given = path.replace(/(.)\/$/, "$1").split("/");
  if (wanted.length !== given.length) return null;
  const params: Record<string, string> = {};
  for (const [i, part] of wanted.entries()) {
    if (part.startsWith(":")) params[part.slice(1)] = given[i]!;
    else if (part !== given[i]) return null;
  }
  try {
    return Object.fromEntries(Object.entries(params).map(([name, value]) => [name, decodeURIComponent(value)]));
  } catch {
    // A stray % names nothing.
    return null;
  }
}
