// A code for each machine to print and stick on: it opens the machine's service leaf.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { leaf, type Visit } from "../leaves/leaf.ts";

interface Data {
  machines: { machine: string; name: string }[];
}

export const codes = leaf<Data>({
  id: "codes",
  path: "/codes",
  need: "see-service",
  readsLog: false,
  hasPeriod: false,
  title: () => "Codes",
  async load({ ask }) {
    const { tasks } = await ask("due");
    const names = new Map(tasks.map(({ machine, machineName }) => [machine, machineName]));
    return { machines: [...names].map(([machine, name]) => ({ machine, name })) };
  },
  View,
});

function View({ data, visit }: { data: Data; visit: Visit }): JSX.Element {
  const { reader } = visit;
  const [at, setAt] = useState("");
  useEffect(() => setAt(location.origin), []);
  const isOwn = /^https?:\/\/(127\.|localhost|\[::1\])/.test(at);
  return (
    <>
      <h1>Codes</h1>
      <p class="lead">
        {reader.count(data.machines.length)} codes to print. Each opens its machine under Service, on a phone that may come in.
      </p>
      <p class="field typed">
        <label>
          The address by which phones reach this server
          <input type="url" value={at} onInput={(event) => setAt((event.target as HTMLInputElement).value)} />
        </label>
      </p>
      {isOwn ? <p class="problem">This address works on this computer only: type the one that phones use.</p> : null}
      <ul class="codes">
        {data.machines.map(({ machine, name }) => (
          <li key={machine}>
            <Code address={at === "" ? null : `${at.replace(/\/+$/, "")}/service/${encodeURIComponent(machine)}`} name={name} />
            <p>
              <strong>{name}</strong>
              <br />
              <small>A code is no isolator. Isolate and lock out before any work.</small>
            </p>
          </li>
        ))}
      </ul>
    </>
  );
}

function Code({ address, name }: { address: string | null; name: string }): JSX.Element {
  const [drawn, setDrawn] = useState<{ path: string; size: number } | null>(null);
  useEffect(() => {
    if (address === null) return;
    let isWanted = true;
    void import("qrcode").then(({ default: qr }) => {
      const { modules } = qr.create(address, { errorCorrectionLevel: "Q" });
      const parts: string[] = [];
      for (let y = 0; y < modules.size; y++)
        for (let x = 0; x < modules.size; x++) if (modules.get(y, x)) parts.push(`M${x + 4} ${y + 4}h1v1h-1z`);
      if (isWanted) setDrawn({ path: parts.join(""), size: modules.size + 8 });
    });
    return () => {
      isWanted = false;
    };
  }, [address]);
  return (
    <svg
      class="code"
      viewBox={`0 0 ${drawn?.size ?? 1} ${drawn?.size ?? 1}`}
      role="img"
      aria-label={`Code of ${name}`}
      data-address={address}
    >
      {drawn ? <path d={drawn.path} /> : null}
    </svg>
  );
}
