// For members: what is kept of them, why, for how long, who sees it, and what this is not.
import type { JSX } from "preact";
import { Entry } from "./entry.tsx";
import { leaf } from "./leaf.ts";

interface Data {
  badges: "hashed" | "kept";
  months: number | null;
}

export const kept = leaf<Data>({
  id: "kept",
  path: "/kept",
  need: "come-in",
  readsLog: false,
  hasPeriod: false,
  title: () => "What is kept of members",
  async load({ ask }) {
    const { badgesAre, keepBadgesMonths } = await ask("calendar");
    return { badges: badgesAre, months: keepBadgesMonths };
  },
  View,
});

function View({ data }: { data: Data }): JSX.Element {
  return (
    <>
      <h1>What is kept of members</h1>
      <p class="lead">
        The machines here start for a badge. Each station writes down when a badge went in and came out; this program reads that
        log to see which machines wear, which are too few, and what deserves a look.
      </p>
      <Entry name="What is kept" id="what">
        <ul class="notes">
          <li>Of each stretch at a machine: the machine, when it began and ended, and which badge it was.</li>
          <li>
            {data.badges === "hashed"
              ? "The badge as a scrambled number: whoever takes a copy of the records away cannot turn it back into a badge number."
              : "The badge by its number, as this workshop has chosen."}
          </li>
          <li>Where the workshop keeps a roster: which badges are one person's, and for which machines they may be used.</li>
          <li>
            {data.months === null
              ? "How long badges are kept is for the workshop to say; it has set no limit here."
              : `Badges are kept for ${data.months} months. Then the machine's hours stay, and whose they were does not.`}
          </li>
        </ul>
      </Entry>
      <Entry name="Why" id="why">
        <ul class="notes">
          <li>To change a blade before it breaks and to buy it in time: that goes by the machine's hours, whoever used it.</li>
          <li>To see where a second machine would help most.</li>
          <li>
            To notice what may hurt somebody: being alone at a dangerous machine at night, a motor that runs without a badge.
          </li>
        </ul>
      </Entry>
      <Entry name="Who sees it" id="who">
        <ul class="notes">
          <li>Volunteers who look after machines see hours and tasks, no names and no badges.</li>
          <li>The board sees whole months, and nothing of a month of a machine that fewer than five members used.</li>
          <li>
            Those who look after safety, and the steward, can see single stretches. Whoever looks is written down on a trail that
            can't be changed unnoticed.
          </li>
        </ul>
      </Entry>
      <Entry name="What it is not" id="not">
        <ul class="notes">
          <li>It watches no person: without a badge in a holder it knows nothing, and a badge may be lent.</li>
          <li>It is no alarm, and nobody is called when something goes wrong. It does not look after those who work alone.</li>
          <li>It opens and locks nothing, and an empty badge holder says nothing about a machine's energy.</li>
          <li>
            It ranks no members and judges nobody; a flag is a question to a person, with what the log can't know beside it.
          </li>
        </ul>
      </Entry>
      <Entry name="Your say" id="say">
        <p>
          Ask the steward what is held on your badge, and to be forgotten: the machine's hours stay, and whose they were is gone.
        </p>
      </Entry>
    </>
  );
}
