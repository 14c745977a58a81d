// A served store with one account for each role, at a small password cost, and visitors who keep their cookies.

import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Express } from "express";
import { type Access, makeAccess } from "../../dashboard/access/access.ts";
import { addAccount, keepAccount } from "../../dashboard/access/accounts.ts";
import type { Exposure } from "../../dashboard/access/exposure.ts";
import { hashOfPassword } from "../../dashboard/access/password.ts";
import type { Role } from "../../dashboard/access/rights.ts";
import { inTurn } from "../../dashboard/access/turn.ts";
import type { Command } from "../../dashboard/commands/command.ts";
import { commands as everyCommand } from "../../dashboard/commands/index.ts";
import { makeIntake } from "../../dashboard/live/intake.ts";
import { makeApp } from "../../dashboard/server/app.ts";
import { changeStream } from "../../dashboard/server/stream.ts";
import { openStore, type Store } from "../../shared/index.ts";

export const smallCost = { n: 16, r: 1, p: 1 };
export const here: Exposure = { host: "127.0.0.1", tls: null, proxy: null, proxyFrom: [], names: [] };

export const plainWorkshop = `workshop: {name: Heron Row Workshop, zone: Europe/Lisbon, currency: EUR, address_bits: 6}
rooms: [{id: wood, name: Wood room}]
machines:
  - {id: planer, name: Planer, room: wood, hazard: high, stations: [{station: 21}]}
  - {id: lathe-1, name: Lathe one, group: lathe, room: wood, stations: [{station: 22}]}
  - {id: lathe-2, name: Lathe two, group: lathe, room: wood, stations: [{station: 23}]}
  - {id: dust, name: Dust collector, room: wood, driven_by: [planer], run_on_seconds: 30}
`;

export interface HouseSettings {
  /** Of a house that was here before. */
  folder?: string;
  exposure?: Exposure;
  workshop?: string;
  commands?: readonly Command[];
  now?: () => Date;
}

export interface House {
  folder: string;
  store: Store;
  access: Access;
  app: Express;
  address: string;
  /** What the server wrote to its log. */
  logged: string[];
  tell(kind: "store" | "workshop"): void;
  close(settings?: { isToStay?: boolean }): Promise<void>;
}

export async function openHouse({
  folder = mkdtempSync(join(tmpdir(), "almanac-house-")),
  exposure = here,
  workshop = plainWorkshop,
  commands = everyCommand,
  now,
}: HouseSettings = {}): Promise<House> {
  const file = join(folder, "workshop.yaml");
  writeFileSync(file, workshop);
  const store = await openStore(join(folder, "almanac.duckdb"));
  const logged: string[] = [];
  const access = await makeAccess({
    store,
    exposure,
    workshopName: async () => "Heron Row Workshop",
    cost: smallCost,
    lookAgainMs: 50,
    ...(now ? { now } : {}),
  });
  const stream = changeStream((request, kind) => kind !== "store" || access.hearsOfLog(request));
  const app = makeApp({
    intake: makeIntake(store, file, () => undefined),
    holder: { store },
    commands,
    access,
    workshop: file,
    exposure,
    stream,
    log: (line) => logged.push(line),
    requestsPerMinute: 100_000,
  });
  const server: Server = createServer(app);
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  return {
    folder,
    store,
    access,
    app,
    logged,
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    tell: (kind) => stream.tell({ kind, by: "a test" }),
    async close({ isToStay = false } = {}) {
      stream.close();
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
      store.close();
      if (!isToStay) rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** The same house after its server was stopped and started. */
export async function restarted(house: House, settings: HouseSettings): Promise<House> {
  await house.close({ isToStay: true });
  return openHouse({ ...settings, folder: house.folder });
}

/** Nobody has an account, nobody was ever there. */
export const emptyHouse = ({ store }: House): Promise<void> =>
  inTurn(store, async (connection) => {
    for (const table of ["account", "visit", "token", "sign_in_try", "trail"]) await connection.run(`DELETE FROM ${table}`);
  });

export const passwordOf = (name: string): string => `${name} plum cart thistle`;

/** An account that can sign in at once. */
export async function giveAccount(store: Store, name: string, roles: readonly Role[]): Promise<void> {
  const password = await hashOfPassword(passwordOf(name), smallCost);
  await inTurn(store, async (connection) => {
    const account = await addAccount(connection, name, roles, new Date());
    await keepAccount(connection, { ...account, password, passwordAt: new Date() });
  });
}

export interface Reply {
  status: number;
  headers: Headers;
  text: string;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the assertions that read them
  json: any;
}

/** A browser of sorts: keeps cookies, follows nothing. */
export class Browser {
  readonly cookies = new Map<string, string>();
  readonly #address: string;

  constructor(address: string) {
    this.#address = address;
  }

  async ask(
    method: string,
    path: string,
    settings: { form?: Record<string, string>; headers?: Record<string, string>; body?: string } = {},
  ): Promise<Reply> {
    const cookie = [...this.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
    const response = await fetch(this.#address + path, {
      method,
      redirect: "manual",
      headers: { ...(cookie ? { cookie } : {}), ...settings.headers },
      ...(settings.form
        ? { body: new URLSearchParams(settings.form) }
        : settings.body === undefined
          ? {}
          : { body: settings.body }),
    });
    for (const line of response.headers.getSetCookie()) {
      const [, name = "", value = ""] = /^([^=]+)=([^;]*)/.exec(line) ?? [];
      if (value === "" || /expires=thu, 01 jan 1970/i.test(line)) this.cookies.delete(name);
      else this.cookies.set(name, value);
    }
    const text = await response.text();
    return { status: response.status, headers: response.headers, text, json: jsonOrNull(text) };
  }

  get = (path: string, headers: Record<string, string> = {}) => this.ask("GET", path, { headers });
  post = (path: string, form: Record<string, string> = {}, headers: Record<string, string> = {}) =>
    this.ask("POST", path, { form, headers });

  /** Signs in with name and password; throws where that doesn't do. */
  async signIn(name: string): Promise<this> {
    const { status, text } = await this.post("/sign-in", { name, password: passwordOf(name) });
    if (status !== 303) throw new Error(`${name} was not let in: ${status} ${text}`);
    return this;
  }
}

function jsonOrNull(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
