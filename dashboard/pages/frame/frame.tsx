// The sheet around every leaf: masthead, contents, period chooser, the leaf, colophon.
import type { JSX } from "preact";
import { leaves } from "../leaves/index.ts";
import type { Visit } from "../leaves/leaf.ts";
import { weekOf } from "../period/days.ts";
import { periodPart, queryWith } from "../period/period.ts";
import { Absent, Refusal } from "./apart.tsx";
import { FirstSteps, NotSetUp } from "./first-steps.tsx";
import type { LiveState } from "./live.ts";
import { leafOf, type PageData, visitOf } from "./page.ts";
import { PeriodChooser } from "./period-chooser.tsx";

export const programName = "Workshop Almanac";

export interface FrameProps {
  page: PageData;
  live: LiveState;
  /** A leaf that was asked for and is on its way. */
  isOnItsWay: boolean;
  /** Why the last thing asked for did not come. */
  problem: string | null;
  /** What has just arrived, for those who can't see it. */
  said?: string;
}

export function titleOf(page: PageData): string {
  const found = leafOf(page.path);
  const own =
    page.outcome === "absent" || !found
      ? "Nothing is here"
      : page.outcome === "shown"
        ? found.leaf.title(visitOf(page), page.data)
        : (found.leaf.entry ?? programName);
  return `${own} · ${page.calendar.workshop}`;
}

export function Frame({ page, live, isOnItsWay, problem, said }: FrameProps): JSX.Element {
  const visit = visitOf(page);
  const found = leafOf(page.path);
  return (
    <div class="sheet" aria-busy={isOnItsWay}>
      <a class="skip" href="#leaf">
        Skip to the leaf
      </a>
      <Masthead visit={visit} who={page.who} current={found?.leaf.id ?? null} />
      <p class="unseen" role="status">
        {said}
      </p>
      <div class="notices" role="status">
        {problem ? <p class="problem">{problem}</p> : null}
        {live.isHeard ? null : <p class="unheard">The server can't be heard. The figures stand as they were; trying again.</p>}
      </div>
      <main id="leaf" tabIndex={-1} class={`leaf leaf-${found?.leaf.id ?? "absent"}`}>
        {page.outcome === "shown" && found ? (
          <>
            {found.leaf.hasPeriod ? <PeriodChooser visit={visit} compares={found.leaf.compares ?? false} /> : null}
            <found.leaf.View data={page.data} visit={visit} />
          </>
        ) : page.outcome === "unset" ? (
          <NotSetUp visit={visit} />
        ) : page.outcome === "empty" ? (
          <FirstSteps visit={visit} />
        ) : page.outcome === "refused" ? (
          <Refusal />
        ) : (
          <Absent path={page.path} />
        )}
      </main>
      <footer class="colophon">
        <p>
          {programName}. A badge in a holder is not a turning motor, and no station is an isolating switch. The maker's manual,
          local codes and an inspection come before every figure here.
        </p>
        <p>
          <a class="own" href="/kept">
            What is kept of members
          </a>{" "}
          {visit.may.includes("do-setup") ? (
            <>
              <a class="own" href="/rounds">
                Rounds
              </a>{" "}
            </>
          ) : null}
          <a class="own" href="/account">
            Your account and sign-out
          </a>
        </p>
      </footer>
    </div>
  );
}

function Masthead({ visit, who, current }: { visit: Visit; who: string | null; current: string | null }): JSX.Element {
  const { calendar, reader, may, query } = visit;
  const along = queryWith({}, periodPart(query));
  const listed = leaves.filter(({ entry, need }) => entry !== undefined && may.includes(need));
  return (
    <header class="masthead">
      <div class="title-line">
        <p class="workshop">
          <a href={`/${along}`}>{calendar.workshop}</a>
        </p>
        <p class="date">
          <time dateTime={calendar.today}>{reader.longDay(calendar.today)}</time>
          <span class="week"> week {weekOf(calendar.today)}</span>
          {who === null ? null : (
            <>
              {" "}
              <a class="who" href="/account">
                {who}
              </a>
            </>
          )}
        </p>
      </div>
      <div class="contents">
        <nav aria-label="Contents">
          <ul>
            {listed.map(({ id, path, entry }) => (
              <li key={id}>
                <a
                  href={`${path}${along}`}
                  aria-current={id === current ? "page" : current === "machine" && id === "machines" ? "true" : undefined}
                >
                  {entry}
                </a>
              </li>
            ))}
          </ul>
        </nav>
        <search>
          <form action="/machines" method="get">
            <label for="find">Find a machine</label>
            <input id="find" name="find" type="search" autocomplete="off" enterkeyhint="search" placeholder="Find a machine" />
            <button type="submit">Find</button>
          </form>
        </search>
      </div>
    </header>
  );
}
