// From an address to a page: which leaf, may this reader see it, is there anything to see, and its data.
import type { Need } from "../../access/rights.ts";
import type { Calendar } from "../ask/answers.ts";
import type { Asker } from "../ask/ask.ts";
import { leaves } from "../leaves/index.ts";
import { type Leaf, paramsOfPath, type Visit } from "../leaves/leaf.ts";
import { periodFromQuery, type Query } from "../period/period.ts";
import { readerOf } from "../words/reader.ts";

/** Everything a page is made of, as it travels inside the document. */
export interface PageData {
  path: string;
  query: Query;
  locale: string;
  calendar: Calendar;
  may: readonly Need[];
  /** The account that is signed in; null where there are no accounts. */
  who: string | null;
  /**
   * `shown`: the leaf's data are here · `unset`: there is no sound workshop file · `empty`: the log is · `absent`: no such address ·
   * `refused`: not for this reader.
   */
  outcome: "shown" | "unset" | "empty" | "absent" | "refused";
  data: unknown;
}

export interface Asked {
  path: string;
  query: Query;
  locale: string;
  may: readonly Need[];
  who: string | null;
}

export function leafOf(path: string): { leaf: Leaf; params: Record<string, string> } | null {
  for (const leaf of leaves) {
    const params = paramsOfPath(leaf.path, path);
    if (params) return { leaf, params };
  }
  return null;
}

export function visitOf({ path, query, locale, calendar, may }: Omit<PageData, "outcome" | "data" | "who">): Visit {
  return {
    path,
    params: leafOf(path)?.params ?? {},
    query,
    calendar,
    period: periodFromQuery(query, calendar),
    reader: readerOf(locale),
    may,
  };
}

export async function loadPage(asker: Asker, asked: Asked): Promise<PageData> {
  const calendar = await asker.ask("calendar");
  const page = { ...asked, calendar };
  const found = leafOf(asked.path);
  if (!found) return { ...page, outcome: "absent", data: null };
  if (!asked.may.includes(found.leaf.need)) return { ...page, outcome: "refused", data: null };
  if (!calendar.isSetUp && !found.leaf.goesWithoutWorkshop) return { ...page, outcome: "unset", data: null };
  if (found.leaf.readsLog && calendar.lastDay === null) return { ...page, outcome: "empty", data: null };
  const data = await found.leaf.load(asker, visitOf(page));
  return { ...page, outcome: data === null ? "absent" : "shown", data };
}
