// Who may come in: accounts and tokens, for the steward.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Visit } from "../leaves/leaf.ts";
import type { AccountRow, TokenRow } from "./answers.ts";
import { Field, typedIn } from "./field.tsx";
import { askAnew, sendJson } from "./send.ts";

const roles = [
  ["maintenance", "maintenance: use, Service, demand, how the log fares"],
  ["board", "board: use and demand by whole months, nothing about members"],
  ["safety", "safety: use, sessions, findings, lines of the log"],
  ["steward", "steward: everything, and Setup"],
] as const;

interface AccountsProps {
  accounts: readonly AccountRow[];
  tokens: readonly TokenRow[];
  visit: Visit;
}

export function Accounts({ accounts, tokens, visit }: AccountsProps): JSX.Element {
  const [problem, setProblem] = useState<string | null>(null);
  const [said, setSaid] = useState<JSX.Element | string | null>(null);
  const isFirst = accounts.length === 0;
  const send = async (
    path: string,
    body: unknown,
    says: (answer: { name: string; link?: string }) => JSX.Element | string,
  ): Promise<void> => {
    const sent = await sendJson<{ name: string; link?: string }>(path, body);
    setProblem(sent.problem);
    if (!sent.answer) return;
    // With the first account everybody has to sign in, this reader too: the link is theirs.
    if (isFirst && sent.answer.link) return location.assign(sent.answer.link);
    setSaid(says(sent.answer));
    askAnew();
  };
  const withLink = ({ name, link }: { name: string; link?: string }): JSX.Element => (
    <>
      {name} chooses a password at this address, once, within seven days: <code>{`${location.origin}${link ?? ""}`}</code>
    </>
  );
  return (
    <>
      <p>
        {isFirst
          ? "Nobody has an account. Whoever sits at this computer may see and do everything, and no other computer can reach the almanac. The first account must be a steward's; from then on every page asks who you are."
          : "Whoever has an account may come in, and sees what the role allows."}
      </p>
      {accounts.length ? (
        <ul class="versions">
          {accounts.map((account) => (
            <AccountLine
              key={account.name}
              account={account}
              isLast={accounts.length === 1}
              visit={visit}
              onRemove={() =>
                void send("account/remove", { name: account.name }, ({ name }) => `${name} is removed and signed out.`)
              }
              onRecover={() => void send("account/recover", { name: account.name }, withLink)}
            />
          ))}
        </ul>
      ) : null}
      <div role="status">
        {problem ? <p class="problem">{problem}</p> : null}
        {said ? <p>{said}</p> : null}
      </div>
      <form
        class="typed"
        onSubmit={(event) => {
          const data = new FormData(event.currentTarget);
          const typed = typedIn(event);
          void send("account/add", { name: typed("name"), role: data.getAll("role") }, withLink);
        }}
      >
        <Field name="name" label={isFirst ? "Your name" : "A new account's name"} hint="letters and digits, no blanks" required />
        <fieldset>
          <legend>May be one or more of</legend>
          {roles.map(([role, words]) => (
            <label key={role}>
              <input type="checkbox" name="role" value={role} defaultChecked={isFirst && role === "steward"} /> {words}
            </label>
          ))}
        </fieldset>
        <p class="buttons">
          <button type="submit">{isFirst ? "Make the first account" : "Make the account"}</button>
        </p>
      </form>
      {tokens.length ? (
        <>
          <p>Sources, calendars and phones that come in by a token:</p>
          <ul class="notes">
            {tokens.map(({ name, purpose, usedAt }) => (
              <li key={`${purpose} ${name}`}>
                {purpose} {name}, {usedAt === null ? "not used yet" : `last used ${visit.reader.utc(usedAt)}`}
              </li>
            ))}
          </ul>
        </>
      ) : null}
      <p class="note">
        Phones at the bench are enrolled at <a href="/benches">Phones</a>. Tokens for sources and calendars:{" "}
        <code>almanac token add NAME --purpose source</code>.
      </p>
    </>
  );
}

interface AccountLineProps {
  account: AccountRow;
  isLast: boolean;
  visit: Visit;
  onRemove(): void;
  onRecover(): void;
}

function AccountLine({ account, isLast, visit, onRemove, onRecover }: AccountLineProps): JSX.Element {
  const [isSure, setSure] = useState(false);
  const { name, roles, hasPassword, hasSecondFactor, lastSeen } = account;
  return (
    <li>
      <strong>{name}</strong>, {roles}:{" "}
      {hasPassword ? (hasSecondFactor ? "password and second factor" : "password") : "no password yet"},{" "}
      {lastSeen === null ? "not seen yet" : `last seen ${visit.reader.utc(lastSeen)}`}{" "}
      {isSure ? (
        <span class="buttons">
          {isLast ? "This is the last account: without it whoever sits at this computer may see and do everything again. " : ""}
          <button type="button" class="chosen" onClick={onRemove}>
            Yes, remove {name}
          </button>
          <button type="button" onClick={() => setSure(false)}>
            Keep
          </button>
        </span>
      ) : (
        <span class="buttons">
          <button type="button" aria-label={`New link for ${name}`} onClick={onRecover}>
            New link
          </button>
          <button type="button" aria-label={`Remove ${name}`} onClick={() => setSure(true)}>
            Remove
          </button>
        </span>
      )}
    </li>
  );
}
