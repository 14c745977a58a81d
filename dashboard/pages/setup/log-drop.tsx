// From a dropped log to lines in the store: how it would be read, what its values can't tell, then reading it.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Wide } from "../frame/wide.tsx";
import { counted, type Reader } from "../words/reader.ts";
import type { LookedAtLog } from "./answers.ts";
import { Field, typedIn } from "./field.tsx";
import { askAnew, sendFile, sendJson } from "./send.ts";

interface Read {
  files: { lines: number; stored: number; duplicates: number; ignored: number; blank: number; rejected: number }[];
  sessions: number;
  written: string[];
}

export function LogDrop({ isFirst, reader }: { isFirst: boolean; reader: Reader }): JSX.Element {
  const [looked, setLooked] = useState<LookedAtLog | null>(null);
  const [read, setRead] = useState<Read | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState("");
  const [isOver, setOver] = useState(false);

  const look = async (upload: string, profile: string | null): Promise<void> => {
    setBusy("Looking at its first lines …");
    const sent = await sendJson<LookedAtLog>("setup/look", { upload, profile });
    setBusy("");
    setProblem(sent.problem);
    if (sent.answer) setLooked((before) => ({ ...(profile === null ? {} : before), ...sent.answer! }));
  };
  const take = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    setRead(null);
    setLooked(null);
    setBusy(`Sending ${file.name} …`);
    const sent = await sendFile<{ upload: string }>("setup/log", file);
    setBusy("");
    setProblem(sent.problem);
    if (sent.answer) await look(sent.answer.upload, null);
  };
  const accept = async (profile: string | null, about: Record<string, string>): Promise<void> => {
    if (looked === null) return;
    setBusy(`Reading ${looked.name} …`);
    const sent = await sendJson<Read>("setup/read", { upload: looked.upload, profile, ...about });
    setBusy("");
    setProblem(sent.problem);
    if (!sent.answer) return;
    setRead(sent.answer);
    setLooked(null);
    askAnew();
  };

  return (
    <>
      <label
        class={`drop${isOver ? " drop-over" : ""}`}
        onDragOver={(event) => {
          event.preventDefault();
          setOver(true);
        }}
        onDragLeave={() => setOver(false)}
        onDrop={(event) => {
          event.preventDefault();
          setOver(false);
          void take(event.dataTransfer?.files[0]);
        }}
      >
        <span>Drop a log here, or choose it: CSV, JSON lines, Parquet, also as .gz</span>
        <input type="file" name="log" onChange={(event) => void take(event.currentTarget.files?.[0])} />
      </label>
      <div role="status">
        {busy ? <p class="note">{busy}</p> : null}
        {problem ? <p class="problem">{problem}</p> : null}
        {read ? <ReadWords read={read} reader={reader} /> : null}
        {looked && !looked.log ? (
          <p class="problem">
            {looked.name} is no event log: {looked.why}.
          </p>
        ) : null}
      </div>
      {looked?.log ? (
        <Preview
          key={looked.upload}
          looked={looked}
          isFirst={isFirst}
          isBusy={busy !== ""}
          reader={reader}
          onLook={(profile) => void look(looked.upload, profile)}
          onAccept={(profile, about) => void accept(profile, about)}
        />
      ) : null}
    </>
  );
}

function ReadWords({ read, reader }: { read: Read; reader: Reader }): JSX.Element {
  const [counts] = read.files;
  return (
    <p>
      <strong>Read.</strong> Of {counted(reader, counts?.lines ?? 0, "line")}, {reader.count(counts?.stored ?? 0)} were stored,{" "}
      {reader.count(counts?.duplicates ?? 0)} were there already, {reader.count((counts?.ignored ?? 0) + (counts?.blank ?? 0))}{" "}
      were left aside and {reader.count(counts?.rejected ?? 0)} rejected
      {counts?.rejected ? (
        <>
          {" "}
          (<a href="/log#rejects">see why</a>)
        </>
      ) : null}
      : {counted(reader, read.sessions, "session")} in all.
      {read.written.length ? ` Written: ${read.written.join(" and ")}.` : ""}
    </p>
  );
}

interface PreviewProps {
  looked: LookedAtLog;
  isFirst: boolean;
  isBusy: boolean;
  reader: Reader;
  onLook(profile: string): void;
  onAccept(profile: string | null, about: Record<string, string>): void;
}

function Preview({ looked, isFirst, isBusy, reader, onLook, onAccept }: PreviewProps): JSX.Element {
  const { name, questions = [], rows = [], rejects = [], lines = 0, stored = 0, ignored = 0, rejected = 0, isOwn, zone } = looked;
  const [profile, setProfile] = useState(looked.profile ?? "");
  const isMended = profile !== (looked.profile ?? "");
  const own = isFirst ? new Intl.DateTimeFormat().resolvedOptions().timeZone : zone;
  return (
    <div class="answer">
      <p>
        Of the first {counted(reader, lines, "line")} of {name}, {reader.count(stored)} would be stored
        {ignored ? `, ${reader.count(ignored)} left aside` : ""}
        {rejected ? ` and ${reader.count(rejected)} rejected` : " and none rejected"}. The first, by the clock of {zone}:
      </p>
      <Wide name="The first rows as they would be read">
        <table class="numbers">
          <thead>
            <tr>
              <th scope="col">Line</th>
              <th scope="col" class="word">
                Time
              </th>
              <th scope="col" class="word">
                Station
              </th>
              <th scope="col" class="word">
                Event
              </th>
              <th scope="col" class="word">
                Badge
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.line}>
                <th scope="row">{reader.count(row.line)}</th>
                <td class="word">{row.local}</td>
                <td class="word">{row.station}</td>
                <td class="word">{row.event ?? "a stretch"}</td>
                <td class="word">{row.badge ?? "–"}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {rejects.length ? (
        <ul class="notes">
          {rejects.map(({ line, reason, text }) => (
            <li key={line}>
              line {reader.count(line)} would be rejected: {reason}. <code>{text}</code>
            </li>
          ))}
        </ul>
      ) : null}
      {questions.length ? (
        <>
          <p>What its values can't tell, and you can:</p>
          <ul class="notes questions">
            {questions.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </>
      ) : null}
      <details class="profile">
        <summary>{isOwn ? "The workshop's profile, by which it is read" : "How it is read, line by line, to be changed"}</summary>
        <label>
          <span class="unseen">Profile</span>
          <textarea rows={16} spellcheck={false} value={profile} onInput={(event) => setProfile(event.currentTarget.value)} />
        </label>
        <p class="buttons">
          <button type="button" disabled={isBusy} onClick={() => onLook(profile)}>
            Look again, read like this
          </button>
        </p>
      </details>
      <form
        class="typed figures"
        onSubmit={(event) => {
          const typed = typedIn(event);
          onAccept(
            isOwn && !isMended ? null : profile,
            isFirst ? { name: typed("name"), zone: typed("zone"), currency: typed("currency") } : {},
          );
        }}
      >
        {isFirst ? (
          <>
            <Field name="name" label="The workshop's name" required />
            <Field name="zone" label="Its time zone" hint="like America/Halifax" value={own} required />
            <Field name="currency" label="Its currency" hint="like CAD; may stay empty" maxLength={3} />
          </>
        ) : null}
        <p class="buttons">
          <button type="submit" class="chosen" disabled={isBusy}>
            {isFirst ? "Begin with this log" : "Read this log"}
          </button>
        </p>
      </form>
    </div>
  );
}
