// Stations of the log that no machine claims: named in one go, each a new machine.
import type { JSX } from "preact";
import { Wide } from "../frame/wide.tsx";
import type { Reader } from "../words/reader.ts";
import type { SetupShown, Words } from "./answers.ts";
import { Select, typedIn } from "./field.tsx";
import { Proposal, useProposal } from "./proposal.tsx";
import { idFrom, textIn } from "./words-of-file.ts";

const hazards = [
  ["high", "high"],
  ["medium", "medium"],
  ["low", "low"],
] as const;
const mostShown = 60;

interface StationsProps {
  shown: SetupShown;
  machines: readonly Words[];
  reader: Reader;
}

export function Stations({ shown, machines, reader }: StationsProps): JSX.Element {
  const proposing = useProposal(shown.mark);
  const stations = shown.stations.slice(0, mostShown);
  return (
    <>
      <p>
        Give a name to each that you know; the others may wait. What a machine's hazard is decides whether being alone at it is
        looked at. A machine that moved to another station is told on the machine's own page.
      </p>
      <form
        class="typed"
        onSubmit={(event) => {
          const typed = typedIn(event);
          const taken = new Set(machines.map((machine) => textIn(machine, "id")));
          const named = stations.filter(({ station }) => typed(`name ${station}`) !== "");
          const edits = named.map(({ station }, at) => {
            const name = typed(`name ${station}`);
            const id = idFrom(name, taken);
            taken.add(id);
            const value = { id, name, hazard: typed(`hazard ${station}`), stations: [{ station }] };
            return { path: ["machines", machines.length + at], value };
          });
          void proposing.propose({ edits });
        }}
      >
        <Wide name="Stations, and the machine behind each">
          <table class="numbers stations">
            <thead>
              <tr>
                <th scope="col">Station</th>
                <th scope="col" class="spare">
                  Sessions
                </th>
                <th scope="col" class="spare">
                  Hours
                </th>
                <th scope="col" class="word spare">
                  In use
                </th>
                <th scope="col" class="word">
                  Its machine
                </th>
                <th scope="col" class="word">
                  Hazard
                </th>
              </tr>
            </thead>
            <tbody>
              {stations.map(({ station, sessions, hours, firstDay, lastDay }) => (
                <tr key={station}>
                  <th scope="row">{station}</th>
                  <td class="spare">{reader.count(sessions)}</td>
                  <td class="spare">{reader.hours(hours)}</td>
                  <td class="word spare">{reader.days({ since: firstDay, until: lastDay })}</td>
                  <td class="word">
                    <input name={`name ${station}`} aria-label={`Machine at station ${station}`} autocomplete="off" />
                  </td>
                  <td class="word">
                    <Select
                      name={`hazard ${station}`}
                      named={`Hazard of the machine at station ${station}`}
                      value="medium"
                      options={hazards}
                    />
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
        {shown.stations.length > mostShown ? (
          <p class="note">
            The {reader.count(mostShown)} most used of {reader.count(shown.stations.length)} are shown.
          </p>
        ) : null}
        <p class="buttons">
          <button type="submit">Look it over</button>
        </p>
      </form>
      <Proposal proposing={proposing} file={shown.file} />
    </>
  );
}
