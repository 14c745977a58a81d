// Which days the page is about: links, so that every choice is an address that can be sent to a friend.
import type { JSX } from "preact";
import type { Visit } from "../leaves/leaf.ts";
import { plusDays } from "../period/days.ts";
import { type PeriodId, queryWith } from "../period/period.ts";

const choices: { id: Exclude<PeriodId, "span">; words: string }[] = [
  { id: "week", words: "Week" },
  { id: "month", words: "Month" },
  { id: "season", words: "Season" },
  { id: "year", words: "Year" },
  { id: "all", words: "All" },
];

export function PeriodChooser({ visit, compares }: { visit: Visit; compares: boolean }): JSX.Element {
  const { path, query, period, reader, calendar } = visit;
  const to = (changes: Record<string, string | undefined>) => `${path}${queryWith(query, changes)}`;
  const clear = { on: undefined, from: undefined, to: undefined };
  return (
    <section class="period" aria-label="Days shown">
      <ul class="choices">
        {choices.map(({ id, words }) => (
          <li key={id}>
            <a href={to({ ...clear, period: id })} aria-current={period.id === id ? "true" : undefined}>
              {words}
            </a>
          </li>
        ))}
        <li>
          <details class="own-span" open={period.id === "span"}>
            <summary aria-label="Own span of days">Own</summary>
            <form action={path} method="get">
              <input type="hidden" name="period" value="span" />
              {query.compare === undefined ? null : <input type="hidden" name="compare" value={query.compare} />}
              <label>
                From <input type="date" name="from" required key={period.days.since} defaultValue={period.days.since} />
              </label>
              <label>
                to{" "}
                <input
                  type="date"
                  name="to"
                  required
                  key={period.days.until}
                  defaultValue={period.lived?.until ?? period.days.until}
                />
              </label>
              <button type="submit">Show</button>
            </form>
          </details>
        </li>
      </ul>
      <p class="shown-days">
        {period.earlierOn ? (
          <a class="step" href={to({ ...clear, period: period.id, on: period.earlierOn })}>
            <span aria-hidden="true">←</span> earlier
          </a>
        ) : null}
        <strong>{reader.days(period.days)}</strong>
        {period.laterOn ? (
          <a class="step" href={to({ ...clear, period: period.id, on: period.laterOn })}>
            later <span aria-hidden="true">→</span>
          </a>
        ) : null}
        {compares && period.before ? (
          <a class="compare" href={to({ compare: period.wantsComparison ? undefined : "before" })}>
            {period.wantsComparison ? "without the days before" : "compare with the days before"}
          </a>
        ) : null}
      </p>
      {period.lived && !period.isLatestLogged && endsEarly(period.lived.until, period.days.until, calendar.today) ? (
        <p class="note">The log ends on {reader.day(period.lived.until)}: the days after it count neither as open nor as used.</p>
      ) : null}
      {period.isLatestLogged && calendar.lastDay ? (
        <p class="note">
          The log ends on {reader.day(calendar.lastDay)}, so its last {period.id} is shown, not the present one.
        </p>
      ) : null}
    </section>
  );
}

/** Whether the log ended before the last day that could have been lived; its newest day may still be under way. */
const endsEarly = (lived: string, until: string, today: string): boolean => lived < (until < today ? until : plusDays(today, -1));
