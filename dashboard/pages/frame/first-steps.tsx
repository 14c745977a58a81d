// What an empty almanac shows: what to do next, never empty axes.
import type { JSX } from "preact";

export function FirstSteps(): JSX.Element {
  return (
    <div class="first-steps">
      <h1>No line has been read yet</h1>
      <p class="lead">
        The almanac is made from the log of your badge stations. Three commands, typed where the program is installed, fill it:
      </p>
      <ol class="steps">
        <li>
          <h2>Describe the workshop</h2>
          <p>
            Write a workshop file with your rooms, machines, stations and opening hours. It starts as an example full of remarks:
          </p>
          <pre>
            <code>almanac init</code>
          </pre>
          <p>Change it to your workshop, then let it be looked over. Every problem is named in one go, with its line:</p>
          <pre>
            <code>almanac check</code>
          </pre>
        </li>
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
      <p>
        This page fills by itself when the first lines are in. To look around first, <code>almanac demo</code> opens an invented
        workshop with two years of log. The <a href="/sums">Bench</a> works without any log.
      </p>
    </div>
  );
}
