// A change on its way: looked over by the server, shown line by line, written when its author says so.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ChangedLine, Edit, FileProblem, Looked } from "./answers.ts";
import { askAnew, sendJson } from "./send.ts";

export type Wanted = { edits: Edit[] } | { text: string } | { version: string };

export interface Proposing {
  looked: Looked | null;
  problem: string | null;
  isBusy: boolean;
  propose(wanted: Wanted): Promise<void>;
  write(): Promise<void>;
  leave(): void;
}

export function useProposal(mark: string | null): Proposing {
  const [wanted, setWanted] = useState<Wanted | null>(null);
  const [looked, setLooked] = useState<Looked | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);
  const send = async (what: Wanted, accept: boolean): Promise<Looked | null> => {
    setBusy(true);
    const sent = await sendJson<Looked>("setup/change", { ...what, mark, accept });
    setBusy(false);
    setProblem(sent.problem);
    return sent.answer;
  };
  return {
    looked,
    problem,
    isBusy,
    async propose(what) {
      setWanted(what);
      setLooked(await send(what, false));
    },
    async write() {
      if (wanted === null) return;
      const answer = await send(wanted, true);
      setLooked(answer);
      if (answer?.isWritten) askAnew();
    },
    leave() {
      setLooked(null);
      setProblem(null);
    },
  };
}

/** Where the change stands: its problems, or its lines and the button that writes them. */
export function Proposal({ proposing, file }: { proposing: Proposing; file: string }): JSX.Element {
  const { looked, problem, isBusy, write, leave } = proposing;
  return (
    <div class="proposal" role="status">
      {problem ? <p class="problem">{problem}</p> : null}
      {looked === null ? null : looked.isWritten ? (
        <p>
          <strong>Written.</strong> What {file} was like before is kept under Earlier versions.
        </p>
      ) : looked.problems.length ? (
        <>
          <p class="problem">This can't be written yet:</p>
          <Problems problems={looked.problems} />
        </>
      ) : looked.isSame ? (
        <p>That changes nothing.</p>
      ) : (
        <>
          <p>These lines of {file} would change:</p>
          <Changes changes={looked.changes} />
          <p class="buttons">
            <button type="button" class="chosen" disabled={isBusy} onClick={() => void write()}>
              Write it
            </button>
            <button type="button" onClick={leave}>
              Leave it
            </button>
          </p>
        </>
      )}
    </div>
  );
}

export function Problems({ problems }: { problems: readonly FileProblem[] }): JSX.Element {
  return (
    <ul class="notes">
      {problems.map(({ file, line, path, value, expected }) => (
        <li key={`${file} ${line} ${path} ${expected}`}>
          {file} line {line}: <code>{path || "the file"}</code>
          {value === null || value === undefined ? "" : <code> {JSON.stringify(value)}</code>}: expected {expected}
        </li>
      ))}
    </ul>
  );
}

const signWords = { "-": "goes", "+": "comes", " ": "stays" } as const;

function Changes({ changes }: { changes: readonly (readonly ChangedLine[])[] }): JSX.Element {
  return (
    <div class="changes">
      {changes.map((piece, at) => (
        <ol key={at}>
          {piece.map(({ sign, line, text }) => (
            <li key={`${sign}${line}`} class={`line-${signWords[sign]}`}>
              <span class="sign">
                <span class="unseen">{signWords[sign]}: </span>
                <span aria-hidden="true">{sign === "-" ? "−" : sign}</span>
              </span>
              <code>{text}</code>
            </li>
          ))}
        </ol>
      ))}
    </div>
  );
}
