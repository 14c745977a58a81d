import { existsSync } from "node:fs";
import { parseHTML } from "linkedom";
import { describe, expect, test } from "vitest";
import { type Need, needsOf, rights } from "../../dashboard/access/rights.ts";
import type { Answers } from "../../dashboard/pages/ask/answers.ts";
import { type Ask, type Asker, NotAnswered, Refused } from "../../dashboard/pages/ask/ask.ts";
import { documentOf, jsonForHtml, troubleDocument } from "../../dashboard/pages/frame/document.tsx";
import { loadPage, type PageData } from "../../dashboard/pages/frame/page.ts";
import { leaves } from "../../dashboard/pages/leaves/index.ts";
import { paramsOfPath } from "../../dashboard/pages/leaves/leaf.ts";
import { causeKinds, stationDays } from "../../dashboard/pages/leaves/log.tsx";
import { foundMachines } from "../../dashboard/pages/leaves/machines.tsx";
import { workings } from "../../dashboard/pages/leaves/workings.ts";
import { leafAddresses } from "../browser/leaf-addresses.ts";
import { fixtureAsker } from "./fixtures/workshop.ts";

const built = { script: "/built/page.js", styles: ["/built/page.css"], preload: [], icon: "/built/icon.svg" };
const everything = Object.keys(rights) as Need[];

interface Sent {
  page: PageData;
  html: string;
  document: Document;
  words: string;
}

async function sent(
  address: string,
  { asker = fixtureAsker(), may = everything as readonly Need[], locale = "en-GB", who = null as string | null } = {},
): Promise<Sent> {
  const url = new URL(address, "http://127.0.0.1");
  const page = await loadPage(asker, { path: url.pathname, query: Object.fromEntries(url.searchParams), locale, may, who });
  const html = documentOf(page, built);
  const document = parseHTML(html).document as unknown as Document;
  return { page, html, document, words: wordsOf(document.querySelector("main")!) };
}

const blocks = new Set([
  "P",
  "H1",
  "H2",
  "H3",
  "LI",
  "TR",
  "DT",
  "DD",
  "SECTION",
  "FIGURE",
  "FORM",
  "LABEL",
  "DETAILS",
  "SUMMARY",
  "UL",
  "OL",
  "DIV",
  "TABLE",
  "CAPTION",
  "PRE",
  "NOSCRIPT",
  "BUTTON",
  "FIELDSET",
  "LEGEND",
]);

/** The words of an element, a line a block, cells set apart; kinds of blanks and dashes made one. */
function wordsOf(element: Element): string {
  const parts: string[] = [];
  const walk = (node: Node): void => {
    if (node.nodeType === 3) parts.push((node.textContent ?? "").replaceAll(/\s+/g, " "));
    const name = (node as Element).tagName?.toUpperCase();
    if (name === "NOSCRIPT") return;
    if (name && blocks.has(name)) parts.push("\n");
    if (name === "TD") parts.push(" | ");
    for (const child of [...node.childNodes]) walk(child);
    if (name && blocks.has(name)) parts.push("\n");
  };
  walk(element);
  return `${parts
    .join("")
    .split("\n")
    .map((line) =>
      line
        .replaceAll(/[\s\u00a0\u2009\u202f]+/g, " ")
        .replaceAll(" – ", "–")
        .trim(),
    )
    .filter(Boolean)
    .join("\n")}\n`;
}

describe.each(Object.entries(leafAddresses))("%s", (name, address) => {
  test("arrives with its words and figures", async () => {
    const { words } = await sent(address);
    expect(words).not.toMatch(/NaN|undefined|\[object|Infinity/);
    await expect(words).toMatchFileSnapshot(`golden/leaf-${name}.txt`);
  });

  test("asks nothing of the page's policy, and nothing of other places", async () => {
    const { html, document } = await sent(address);
    expect(html).toMatch(/^<!doctype html><html lang="en">/);
    expect(html).not.toMatch(/ style=|<style| on\w+="/);
    const scripts = [...document.querySelectorAll("script")];
    expect(scripts.filter((script) => !script.getAttribute("src")).map((script) => script.getAttribute("type"))).toEqual([
      "application/json",
    ]);
    const places = [...document.querySelectorAll("[src], [href]")].map(
      (element) => element.getAttribute("src") ?? element.getAttribute("href") ?? "",
    );
    expect(places.filter((place) => !place.startsWith("/") && !place.startsWith("#"))).toEqual([]);
  });

  test("has one heading of the first kind, headings in order, and names of its own", async () => {
    const { document } = await sent(address);
    const levels = [...document.querySelectorAll("h1, h2, h3")].map(({ tagName }) => Number(tagName.slice(1)));
    expect(levels.filter((level) => level === 1)).toEqual([1]);
    for (const [i, level] of levels.slice(1).entries()) expect(level - levels[i]!).toBeLessThanOrEqual(1);
    const ids = [...document.querySelectorAll("[id]")].map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const element of document.querySelectorAll("[aria-labelledby]"))
      for (const id of element.getAttribute("aria-labelledby")!.split(" ")) expect(ids).toContain(id);
  });

  test("never says that a machine is without danger or power", async () => {
    const { words } = await sent(address);
    expect(words).not.toMatch(/\b(safe|safely|off)\b/i);
  });
});

describe("figures of a page are the answers'", () => {
  test("Today: hours are the sum of all machines that no other drives", async () => {
    const asker = fixtureAsker();
    const { rows } = await asker.ask("hours", { since: "2026-09-01", until: "2026-11-30" });
    const sum = rows
      .filter(({ machine }) => machine !== "dust-collector")
      .reduce((all, { enabledHours }) => all + enabledHours.best!, 0);
    const { words } = await sent("/", { asker });
    expect(words).toContain(`badges enabled machines for ${Math.round(sum)} hours`);
  });

  test("every reading's five counts add up where they are shown", async () => {
    const { document } = await sent("/log");
    const rows = [...document.querySelectorAll(".readings tbody tr")].map((row) =>
      [...row.querySelectorAll("td")].map((cell) => Number(cell.textContent!.replaceAll(",", ""))),
    );
    expect(rows.length).toBe(3);
    for (const [lines, stored, duplicates, ignored, blank, rejected] of rows)
      expect(stored! + duplicates! + ignored! + blank! + rejected!).toBe(lines);
  });

  test("figures and dates follow the reader's locale, words stay", async () => {
    const { words, document } = await sent("/log", { locale: "de-DE" });
    expect(words).toContain("274.544 lines");
    expect(words).toMatch(/1\.–30\. September 2026/);
    expect(document.documentElement.getAttribute("lang")).toBe("en");
  });
});

describe("nothing to show", () => {
  test.each(leaves.filter(({ readsLog }) => readsLog))(
    "an empty log: $id says what to type, and draws nothing",
    async ({ path }) => {
      const { words, document, page } = await sent(path.replace(":machine", "planer"), {
        asker: fixtureAsker({ isEmpty: true }),
      });
      expect(page.outcome).toBe("empty");
      for (const command of ["almanac sniff", "almanac ingest", "almanac demo"]) expect(words).toContain(command);
      expect(document.querySelectorAll("figure").length).toBe(0);
    },
  );

  test("the bench works on an empty log", async () => {
    const { page } = await sent(leafAddresses["bench-worked"]!, { asker: fixtureAsker({ isEmpty: true }) });
    expect(page.outcome).toBe("shown");
  });

  test("days without a line are said to have none", async () => {
    const { words } = await sent("/?period=week&on=2020-01-01");
    expect(words).toContain("No machine was used in these days.");
  });

  test("an address that names nothing", async () => {
    expect((await sent("/no/such/leaf")).page.outcome).toBe("absent");
    expect((await sent("/machines/none")).page.outcome).toBe("absent");
    expect((await sent("/machines/%zz")).page.outcome).toBe("absent");
    expect(paramsOfPath("/machines/:machine", "/machines/station%3A61/")).toEqual({ machine: "station:61" });
  });

  test("what fails is told in one sentence, with what to do", () => {
    const html = troubleDocument('workshop.yaml line 3: zone "Nowhere": expected an IANA name', built);
    expect(html).toContain("workshop.yaml line 3");
    expect(html).toContain("almanac check");
  });
});

describe("rights", () => {
  const refusing = (...refused: string[]): Asker => {
    const { ask, sum } = fixtureAsker();
    const fitted: Ask = async (command, params) => {
      if (refused.includes(command)) throw new Refused(command);
      return ask(command, params);
    };
    return { ask: fitted, sum };
  };

  test("the contents list what a visitor may read", async () => {
    const listed = async (may: readonly Need[]) =>
      [...(await sent("/", { may, asker: refusing("log") })).document.querySelectorAll("nav a")].map(
        ({ textContent }) => textContent,
      );
    expect(await listed(needsOf(["board"]))).toEqual(["Today", "Machines", "Demand", "Bench"]);
    expect(await listed(needsOf(["maintenance"]))).toEqual(["Today", "Machines", "Service", "Demand", "Log", "Bench"]);
    expect(await listed(needsOf(["safety"]))).toEqual(["Today", "Machines", "Safety", "Log", "Bench"]);
  });

  test("a leaf leaves out what its visitor may not ask for", async () => {
    const { words, document } = await sent("/", { asker: refusing("log"), may: needsOf(["board"]) });
    expect(words).not.toContain("rejected");
    expect(document.querySelectorAll("figure").length).toBe(2);
    const machine = await sent("/machines/planer", { may: needsOf(["board"]) });
    expect(machine.words).not.toContain("How long sessions last");
  });

  test("who is told whole months only is told so, and asks for no weeks", async () => {
    const { ask, sum } = fixtureAsker();
    const asked: string[] = [];
    const listening: Asker = {
      sum,
      ask: async (command, params) => {
        asked.push(params?.by ?? "");
        return ask(command, params);
      },
    };
    for (const address of ["/", "/machines/planer", "/demand"]) {
      const { words, document } = await sent(address, { asker: listening, may: needsOf(["board"]) });
      expect(words).toContain("You see whole months");
      expect(words).not.toMatch(/by week|hour by hour/i);
      for (const figure of document.querySelectorAll("figure code"))
        expect(figure.textContent).not.toMatch(/by=(week|day|hour-of-week)/);
    }
    expect(asked.filter((by) => ["week", "day", "hour-of-week"].includes(by))).toEqual([]);
  });

  test("figures held back are said to be so, never shown as none", async () => {
    const { ask, sum } = fixtureAsker();
    const nothing = { low: null, best: null, high: null };
    const holding: Asker = {
      sum,
      ask: (async (command, params) => {
        const answer = await ask(command, params);
        if (command === "hours") {
          const hours = answer as Answers["hours"];
          const held = {
            enabledHours: nothing,
            runHours: nothing,
            sessions: null,
            openSessions: null,
            starts: null,
            members: null,
            suppressed: true,
          };
          return { ...hours, rows: hours.rows.map((row) => ({ ...row, ...held })) };
        }
        if (command === "occupancy") {
          const occupancy = answer as Answers["occupancy"];
          const held = { units: null, peak: null, peakAt: null, hoursByInUse: [], openHours: null, fullShare: null };
          return {
            ...occupancy,
            groups: occupancy.groups.map((group) => ({ ...group, ...held })),
            shop: { peakPeople: null, peakAt: null },
          };
        }
        return answer;
      }) as Ask,
    };
    const may = needsOf(["board"]);
    expect((await sent("/machines/planer", { asker: holding, may })).words).toContain("its hours are held back");
    const demand = await sent("/demand", { asker: holding, may });
    // What to buy rests on months that may be shown; how full the groups were is what is held back here.
    expect([...demand.document.querySelectorAll("figure h3")].map(({ textContent }) => textContent)).toEqual([
      "What one more would give",
    ]);
    expect(demand.words).toContain("How full the groups were is held back");
    expect(demand.words).toMatch(/Thickness planer \|–\|–\|–\| –\n/);
    for (const address of ["/", "/machines", "/machines/planer", "/demand"])
      expect((await sent(address, { asker: holding, may })).words).not.toMatch(/NaN|undefined|\bnull\b/);
  });

  test("a leaf that is not theirs is not even loaded", async () => {
    const { page, words } = await sent("/log", { asker: refusing("log", "rejects"), may: needsOf(["board"]) });
    expect(page).toMatchObject({ outcome: "refused", data: null });
    expect(words).toContain("Not for you to see");
  });
});

test("who is signed in finds their account; where there are no accounts nobody does", async () => {
  const link = (document: Document) => document.querySelector('header a[href="/account"]')?.textContent?.trim();
  expect(link((await sent("/", { who: "ann" })).document)).toBe("ann");
  expect(link((await sent("/")).document)).toBeUndefined();
});

test("data in the document can't end their element", () => {
  const text = jsonForHtml({ name: "</script><script>alert(1)</script><!--" });
  expect(text).not.toContain("<");
  expect(JSON.parse(text)).toEqual({ name: "</script><script>alert(1)</script><!--" });
});

test("typed text stands in the page as text", async () => {
  const { html, words } = await sent(`/machines?find=${encodeURIComponent('"><img src=x onerror=alert(1)>')}`);
  expect(html).not.toContain("<img");
  expect(words).toContain('No machine of 14 with "><img src=x onerror=alert(1)>');
});

test("machines are found by every word, in any of their names", async () => {
  const { machines } = await fixtureAsker().ask("machines");
  const found = (find: string) => foundMachines(machines, find).map(({ machine }) => machine);
  expect(found("saw left")).toEqual(["table-saw-1"]);
  expect(found("METAL lathe")).toEqual(["lathe-1", "lathe-2"]);
  expect(found("61")).toEqual(["station:61"]);
  expect(found("").length).toBe(machines.length);
});

test("sums that can't be worked are said beside the figures typed in; a failing server is not taken for that", async () => {
  const { ask } = fixtureAsker();
  const complaining = (status: number): Asker => ({
    ask,
    sum: async () => {
      throw new NotAnswered("loadKn 0: expected a load above 0", status);
    },
  });
  const { words, document } = await sent("/sums?c=19.5&p=0&rpm=2850", { asker: complaining(400) });
  expect(words).toContain("loadKn 0: expected a load above 0");
  expect(document.querySelector<HTMLInputElement>("#c")!.getAttribute("value")).toBe("19.5");
  await expect(sent("/sums?c=19.5&p=0&rpm=2850", { asker: complaining(500) })).rejects.toThrow(NotAnswered);
});

test("too few lives are an answer", async () => {
  const { words } = await sent(`/sums?lives=${encodeURIComponent("54 failed\n216 good")}`);
  expect(words).toMatch(/Not enough for a fit yet: it needs 2 lives that ended at different ages, and has 1/);
});

test("causes by kind, what ends sessions first", () => {
  const cause = (kind: string, at: string) =>
    ({
      kind,
      fromLow: at,
      fromBest: at,
      fromHigh: at,
      until: null,
      stations: ["1"],
      text: "",
      day: "",
      clockLow: "",
      clockHigh: "",
      clockUntil: null,
    }) as const;
  const kinds = causeKinds(
    [cause("network-loss", "c"), cause("network-loss", "b"), cause("power-cut", "a")].map((each) => ({
      ...each,
      stations: [...each.stations],
    })),
  );
  expect(kinds.map(({ kind, count }) => [kind, count])).toEqual([
    ["power-cut", 1],
    ["network-loss", 2],
  ]);
});

test("days of a station as letters, whatever else was sent", () => {
  const shown = { since: "2026-09-01", until: "2026-09-04" };
  const rows = [
    { station: "10", day: "2026-09-01", events: 2, alive: 1 },
    { station: "10", day: "2026-09-03", events: 0, alive: 4 },
    { station: "9", day: "2026-09-04", events: 1, alive: 0 },
    { station: "9", day: "2026-09-05", events: 1, alive: 0 },
  ];
  expect(stationDays(rows, shown)).toEqual([
    { station: "9", days: "---e" },
    { station: "10", days: "e-a-" },
  ]);
});

test("the files that workings name are there", () => {
  const named = Object.values(workings).flatMap(({ queries }) => queries);
  expect(named.filter((file) => !existsSync(new URL(`../../${file}`, import.meta.url)))).toEqual([]);
  expect(named.length).toBeGreaterThan(5);
});
