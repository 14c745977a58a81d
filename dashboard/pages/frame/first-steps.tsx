// What an empty almanac shows: what to do next, never empty axes.
import type { JSX } from "preact";
import type { Visit } from "../leaves/leaf.ts";

/** There is no workshop file, or none that can be read. */
export function NotSetUp({ visit }: { visit: Visit }): JSX.Element {
  if (visit.calendar.trouble)
    return (
      <div class="first-steps">
        <h1>The almanac can't be read now</h1>
        <p class="lead problem">{visit.calendar.trouble}</p>
        <p>
          {visit.may.includes("do-setup") ? (
            <>
              <a href="/setup">Setup</a> lists every problem of the workshop file and can put an earlier version back; so does{" "}
              <code>almanac check</code>.
            </>
          ) : (
            "Whoever keeps the almanac has to mend the workshop file. This page fills by itself then."
          )}
        </p>
      </div>
    );
  return (
    <div class="first-steps">
      <h1>The almanac is not set up yet</h1>
      {visit.may.includes("do-setup") ? (
        <p class="lead">
          <a href="/setup">Setup</a> leads from the log of your badge stations to machines, opening hours and tasks, or says what
          is wrong with the workshop file that is there.
        </p>
      ) : (
        <p class="lead">Whoever keeps the almanac has to set it up first. This page fills by itself then.</p>
      )}
      <Otherwise />
    </div>
  );
}

export function FirstSteps({ visit }: { visit: Visit }): JSX.Element {
  return (
    <div class="first-steps">
      <h1>No line has been read yet</h1>
      <p class="lead">
        The almanac is made from the log of your badge stations.
        {visit.may.includes("do-setup") ? (
          <>
            {" "}
            <a href="/setup">Drop it on Setup</a>, or read it where the program is installed:
          </>
        ) : (
          " Whoever keeps the almanac reads it in:"
        )}
      </p>
      <ol class="steps">
        <li>
          <h2>Say how your log is written</h2>
          <p>
            Every log looks different. This proposes how to read yours and shows three of its lines as they would be understood:
          </p>
          <pre>
            <code>almanac sniff your-log.csv</code>
          </pre>
        </li>
        <li>
          <h2>Read the log</h2>
          <p>Reading the same file twice changes nothing, and no line is lost without a word:</p>
          <pre>
            <code>almanac ingest your-log.csv</code>
          </pre>
        </li>
      </ol>
      <Otherwise />
    </div>
  );
}

const Otherwise = (): JSX.Element => (
  <p>
    This page fills by itself when the first lines are in. To look around first, <code>almanac demo</code> opens an invented
    workshop with two years of log. The <a href="/sums">Bench</a> works without any log.
  </p>
);
