// Signing in and out over HTTP, with everything that can go wrong there.
import { request } from "node:http";
import { Secret, TOTP } from "otpauth";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { changeRoles, loadAccounts, removeAccount } from "../../dashboard/access/accounts.ts";
import { isPassword } from "../../dashboard/access/password.ts";
import { issueToken } from "../../dashboard/access/tokens.ts";
import { loadTrail } from "../../dashboard/access/trail.ts";
import { inTurn, look } from "../../dashboard/access/turn.ts";
import { idleMs, longestMs } from "../../dashboard/access/visits.ts";
import { Browser, emptyHouse, giveAccount, type House, openHouse, passwordOf, restarted } from "./house.ts";

const began = new Date("2026-03-02T10:00:00Z").getTime();
let clock = began;
const later = (ms: number) => {
  clock += ms;
};

let house: House;
beforeAll(async () => {
  house = await openHouse({ now: () => new Date(clock) });
});
afterAll(() => house.close());
beforeEach(async () => {
  clock = began;
  await emptyHouse(house);
});

const browser = () => new Browser(house.address);
const steward = () => giveAccount(house.store, "ann", ["steward"]);
const isIn = async (visitor: Browser) => (await visitor.get("/api/v1/visitor")).json.name;
const trail = async () => (await look(house.store, loadTrail)).rows.map(({ who, act, what }) => `${who} ${act} ${what}`);

describe("without any account", () => {
  it("whoever sits at this computer may do everything, and is told so", async () => {
    const visitor = browser();
    expect((await visitor.get("/api/v1/visitor")).json).toMatchObject({
      isOpen: true,
      roles: ["maintenance", "board", "safety", "steward"],
    });
    expect((await visitor.get("/sign-in")).text).toMatch(/whoever sits at this computer may see and do everything/);
    expect((await visitor.get("/account")).text).toMatch(/almanac account add NAME --role steward/);
  });

  it("ends with the first account, for pages that are open too", async () => {
    const visitor = browser();
    expect((await visitor.get("/api/v1/no-such-thing")).status).toBe(404);
    await steward();
    expect((await visitor.get("/api/v1/no-such-thing")).status).toBe(401);
  });

  it("nobody may do anything where others could reach the server", async () => {
    const exposed = await openHouse({
      exposure: { host: "127.0.0.1", tls: null, proxy: "almanac.test", proxyFrom: [], names: [] },
    });
    try {
      expect((await new Browser(exposed.address).get("/api/v1/visitor")).json).toMatchObject({
        isOpen: false,
        rights: ["anyone"],
      });
      expect((await new Browser(exposed.address).get("/api/v1/hours")).status).toBe(401);
    } finally {
      await exposed.close();
    }
  });
});

describe("signing in", () => {
  beforeEach(steward);

  it("takes name and password and leads where one wanted to go", async () => {
    const visitor = browser();
    const wanted = await visitor.get("/service?machine=planer", { accept: "text/html" });
    expect(wanted.headers.get("location")).toBe("/sign-in?to=%2Fservice%3Fmachine%3Dplaner");
    const page = await visitor.get(wanted.headers.get("location") ?? "");
    expect(page.text).toContain('value="/service?machine=planer"');
    const done = await visitor.post("/sign-in", { name: " Ann ", password: passwordOf("ann"), to: "/service?machine=planer" });
    expect([done.status, done.headers.get("location")]).toEqual([303, "/service?machine=planer"]);
    expect(await isIn(visitor)).toBe("ann");
  });

  it("says no in the same words for a wrong password and a name that nobody has", async () => {
    const wrong = await browser().post("/sign-in", { name: "ann", password: "not the password" });
    const unknown = await browser().post("/sign-in", { name: "bob", password: "not the password" });
    expect([wrong.status, unknown.status]).toEqual([401, 401]);
    expect(wrong.text.replaceAll("ann", "NAME")).toBe(unknown.text.replaceAll("bob", "NAME"));
    expect(wrong.text).not.toContain("not the password");
  });

  it("gives a cookie that scripts and other pages can't use, and a new one at each sign-in", async () => {
    const visitor = browser();
    const { headers } = await visitor.post("/sign-in", { name: "ann", password: passwordOf("ann") });
    expect(headers.getSetCookie()).toEqual([expect.stringMatching(/^almanac-visit=[^;]+; Path=\/; HttpOnly; SameSite=Strict$/)]);
    const first = visitor.cookies.get("almanac-visit") ?? "";
    await visitor.post("/sign-in", { name: "ann", password: passwordOf("ann") });
    expect(visitor.cookies.get("almanac-visit")).not.toBe(first);
    const thief = browser();
    thief.cookies.set("almanac-visit", first);
    expect(await isIn(thief)).toBeNull();
  });

  it("takes no id that a stranger chose", async () => {
    const visitor = browser();
    visitor.cookies.set("almanac-visit", "s%3Achosen.signature");
    await visitor.signIn("ann");
    expect(visitor.cookies.get("almanac-visit")).not.toContain("chosen");
  });

  it("keeps only the hash of the cookie's id", async () => {
    const visitor = await browser().signIn("ann");
    const id = /^s:([^.]+)\./.exec(decodeURIComponent(visitor.cookies.get("almanac-visit") ?? ""))?.[1] ?? "";
    expect(id).toHaveLength(43);
    const stored = await look(house.store, async (connection) =>
      JSON.stringify((await connection.runAndReadAll("FROM visit")).getRowObjectsJson()),
    );
    expect(stored).toContain("ann");
    expect(stored).not.toContain(id);
  });

  it("ends at sign-out, for good", async () => {
    const visitor = await browser().signIn("ann");
    const cookie = visitor.cookies.get("almanac-visit") ?? "";
    expect((await visitor.post("/sign-out")).text).toContain("signed out");
    visitor.cookies.set("almanac-visit", cookie);
    expect(await isIn(visitor)).toBeNull();
    expect(await trail()).toEqual(["ann signed-in dashboard", "ann signed-out dashboard"]);
  });

  it("ends when nobody uses it, and after half a day however busy", async () => {
    const idle = await browser().signIn("ann");
    const busy = await browser().signIn("ann");
    for (let spent = 0; spent < longestMs - idleMs; spent += idleMs / 2) {
      later(idleMs / 2);
      expect(await isIn(busy)).toBe("ann");
    }
    expect(await isIn(idle)).toBeNull();
    later(idleMs / 2);
    expect(await isIn(busy)).toBe("ann");
    later(idleMs / 2);
    expect(await isIn(busy)).toBeNull();
  });

  it("goes on after the server starts anew", async () => {
    const visitor = await browser().signIn("ann");
    house = await restarted(house, { now: () => new Date(clock) });
    const again = browser();
    again.cookies.set("almanac-visit", visitor.cookies.get("almanac-visit") ?? "");
    expect(await isIn(again)).toBe("ann");
  });

  it("ends with the account, and changes with its roles, at once", async () => {
    await giveAccount(house.store, "ben", ["safety"]);
    const visitor = await browser().signIn("ben");
    expect((await visitor.get("/api/v1/visitor")).json.rights).toContain("see-members");
    await inTurn(house.store, (connection) => changeRoles(connection, "ben", ["board"]));
    expect((await visitor.get("/api/v1/visitor")).json.rights).not.toContain("see-members");
    await inTurn(house.store, (connection) => removeAccount(connection, "ben", new Date(clock)));
    expect(await isIn(visitor)).toBeNull();
    await giveAccount(house.store, "ben", ["safety"]);
    expect(await isIn(visitor)).toBeNull();
  });

  it("takes an open stream of changes along when it ends", async () => {
    const visitor = await browser().signIn("ann");
    const cookie = `almanac-visit=${visitor.cookies.get("almanac-visit")}`;
    const response = await fetch(`${house.address}/api/v1/stream`, { headers: { cookie } });
    const whole = response.text();
    const stillOpen = await Promise.race([whole.then(() => false), new Promise((done) => setTimeout(() => done(true), 300))]);
    expect(stillOpen).toBe(true);
    await visitor.post("/sign-out");
    expect(await whole).toContain("event: hello");
  });

  it("hashes anew where an old password was kept at another cost", async () => {
    const before = (await look(house.store, loadAccounts))[0]?.password ?? "";
    await inTurn(house.store, async (connection) => {
      await connection.run("UPDATE account SET password = $cheap", { cheap: await cheapHash() });
    });
    await browser().signIn("ann");
    const after = (await look(house.store, loadAccounts))[0]?.password ?? "";
    expect(after.split("$").slice(0, 4)).toEqual(before.split("$").slice(0, 4));
    expect(await isPassword(passwordOf("ann"), after)).toBe(true);
  });
});

const cheapHash = async () => {
  const { hashOfPassword } = await import("../../dashboard/access/password.ts");
  return hashOfPassword(passwordOf("ann"), { n: 2, r: 1, p: 1 });
};

describe("guessing", () => {
  beforeEach(steward);

  it("is slowed down, the right password too, and after a restart", async () => {
    const guess = (password = "wrong") => browser().post("/sign-in", { name: "ann", password });
    for (let i = 0; i < 5; i++) expect((await guess()).status).toBe(401);
    const slowed = await guess(passwordOf("ann"));
    expect([slowed.status, slowed.headers.get("retry-after")]).toEqual([429, "2"]);
    expect(slowed.text).toContain("Wait 2 seconds");
    house = await restarted(house, { now: () => new Date(clock) });
    expect((await guess(passwordOf("ann"))).status).toBe(429);
    later(2_000);
    expect((await guess()).status).toBe(401);
    later(2_000);
    expect((await guess(passwordOf("ann"))).status).toBe(429);
    later(2_000);
    expect((await guess(passwordOf("ann"))).status).toBe(303);
    expect((await guess()).status).toBe(401);
  });

  it("gains nothing from many at once", async () => {
    const replies = await Promise.all(
      Array.from({ length: 12 }, () => browser().post("/sign-in", { name: "ann", password: "wrong" })),
    );
    expect(replies.filter(({ status }) => status === 401)).toHaveLength(5);
    expect(replies.filter(({ status }) => status === 429)).toHaveLength(7);
  });

  it("is slowed down for names that nobody has, and by address over many names", async () => {
    const statuses: number[] = [];
    for (let i = 0; i < 22; i++)
      statuses.push((await browser().post("/sign-in", { name: `nobody-${i}`, password: "wrong" })).status);
    expect(statuses).toEqual([...Array<number>(20).fill(401), 429, 429]);
    const one = await openHouse();
    try {
      await giveAccount(one.store, "ann", ["steward"]);
      for (let i = 0; i < 5; i++)
        expect((await new Browser(one.address).post("/sign-in", { name: "bob", password: "x" })).status).toBe(401);
      expect((await new Browser(one.address).post("/sign-in", { name: "bob", password: "x" })).status).toBe(429);
    } finally {
      await one.close();
    }
  });

  it("is on the trail, and what was typed is not", async () => {
    await browser().post("/sign-in", { name: "ann", password: "my secret guess" });
    await browser().post("/sign-in", { name: "my secret guess", password: "ann" });
    expect(await trail()).toEqual(["ann refused sign-in: wrong password"]);
    const everything = await look(house.store, async (connection) =>
      JSON.stringify([
        (await connection.runAndReadAll("FROM trail")).getRowObjectsJson(),
        (await connection.runAndReadAll("FROM sign_in_try")).getRowObjectsJson(),
      ]),
    );
    expect(everything).not.toContain("secret guess");
    expect(everything).not.toContain("127.0.0.1");
  });
});

describe("a second factor", () => {
  beforeEach(steward);

  const codeFor = (factor: string) => TOTP.generate({ secret: Secret.fromBase32(factor), timestamp: clock });
  async function setFactor(visitor: Browser): Promise<{ factor: string; paper: string[] }> {
    const offered = await visitor.post("/account/factor", { password: passwordOf("ann") });
    const factor = (/<code id="factor">([^<]+)</.exec(offered.text)?.[1] ?? "").replaceAll(" ", "");
    expect(offered.text).toContain("<svg");
    const wrong = await visitor.post("/account/factor/prove", { code: "000000" });
    expect([wrong.status, (await look(house.store, loadAccounts))[0]?.factor]).toEqual([422, null]);
    const done = await visitor.post("/account/factor/prove", { code: codeFor(factor) });
    const paper = [...done.text.matchAll(/<li><code>([^<]+)</g)].map(([, code]) => code ?? "");
    return { factor, paper };
  }

  it("is asked once it is set; a code works once", async () => {
    const visitor = await browser().signIn("ann");
    const elsewhere = await browser().signIn("ann");
    const { factor, paper } = await setFactor(visitor);
    expect(paper).toHaveLength(10);
    expect(await isIn(visitor)).toBe("ann");
    expect(await isIn(elsewhere)).toBeNull();

    const phone = browser();
    const half = await phone.post("/sign-in", { name: "ann", password: passwordOf("ann"), to: "/service" });
    expect(half.headers.get("location")).toBe("/sign-in/code");
    expect(await isIn(phone)).toBeNull();
    expect((await phone.get("/api/v1/hours")).status).toBe(401);
    expect((await phone.post("/sign-in/code", { code: codeFor(factor) })).status).toBe(401);
    later(30_000);
    const code = codeFor(factor);
    const done = await phone.post("/sign-in/code", { code });
    expect([done.status, done.headers.get("location")]).toEqual([303, "/service"]);
    expect(await isIn(phone)).toBe("ann");

    const watcher = browser();
    await watcher.post("/sign-in", { name: "ann", password: passwordOf("ann") });
    expect((await watcher.post("/sign-in/code", { code })).status).toBe(401);
    expect(await isIn(watcher)).toBeNull();
  });

  it("can be a recovery code, once", async () => {
    const { paper } = await setFactor(await browser().signIn("ann"));
    const enter = async (code: string) => {
      const visitor = browser();
      await visitor.post("/sign-in", { name: "ann", password: passwordOf("ann") });
      return (await visitor.post("/sign-in/code", { code })).status;
    };
    expect([await enter(paper[0] ?? ""), await enter(paper[0] ?? ""), await enter(paper[1] ?? "")]).toEqual([303, 401, 303]);
    expect(await trail()).toContain("ann changed recovery code used");
  });

  it("can't be guessed: its tries are slowed down too", async () => {
    await setFactor(await browser().signIn("ann"));
    const visitor = browser();
    await visitor.post("/sign-in", { name: "ann", password: passwordOf("ann") });
    const statuses: number[] = [];
    for (let i = 0; i < 6; i++) statuses.push((await visitor.post("/sign-in/code", { code: String(100_000 + i) })).status);
    expect(statuses).toEqual([401, 401, 401, 401, 429, 429]);
  });

  it("has to be typed within five minutes, after the password", async () => {
    const { paper } = await setFactor(await browser().signIn("ann"));
    const visitor = browser();
    expect((await visitor.post("/sign-in/code", { code: paper[0] ?? "" })).headers.get("location")).toBe("/sign-in");
    await visitor.post("/sign-in", { name: "ann", password: passwordOf("ann") });
    later(5 * 60_000);
    expect((await visitor.post("/sign-in/code", { code: paper[0] ?? "" })).headers.get("location")).toBe("/sign-in");
  });

  it("is set and removed only by who knows the password", async () => {
    const visitor = await browser().signIn("ann");
    expect((await visitor.post("/account/factor", { password: "wrong" })).status).toBe(401);
    await setFactor(visitor);
    expect((await visitor.post("/account/factor/remove", { password: "wrong" })).text).toContain("that is not your password");
    expect((await look(house.store, loadAccounts))[0]?.factor).not.toBeNull();
    await visitor.post("/account/factor/remove", { password: passwordOf("ann") });
    expect((await look(house.store, loadAccounts))[0]).toMatchObject({ factor: null, paperCodes: [] });
  });
});

describe("one's own account", () => {
  beforeEach(steward);

  it("takes a new password, and signs out every other browser", async () => {
    const [visitor, other] = [await browser().signIn("ann"), await browser().signIn("ann")];
    const fresh = "heron marble nineteen cups";
    const change = (form: Record<string, string>) =>
      visitor.post("/account/password", { password: passwordOf("ann"), fresh, again: fresh, ...form });
    expect((await change({ password: "wrong" })).status).toBe(401);
    expect((await change({ again: "another" })).text).toContain("The two passwords differ");
    expect((await change({ fresh: "password1234", again: "password1234" })).text).toContain("This password won't do: choose one");
    expect((await change({})).text).toContain("The password is changed");
    expect([await isIn(visitor), await isIn(other)]).toEqual(["ann", null]);
    expect((await browser().post("/sign-in", { name: "ann", password: passwordOf("ann") })).status).toBe(401);
    expect((await browser().post("/sign-in", { name: "ann", password: fresh })).status).toBe(303);
  });

  it("signs out everywhere else", async () => {
    const [visitor, other] = [await browser().signIn("ann"), await browser().signIn("ann")];
    await visitor.post("/account/elsewhere");
    expect([await isIn(visitor), await isIn(other)]).toEqual(["ann", null]);
  });
});

describe("a welcome link", () => {
  const link = async (name: string) => {
    const issued = await inTurn(house.store, (connection) =>
      issueToken(connection, { purpose: "welcome", name, by: "a test" }, new Date(clock)),
    );
    return issued.secret;
  };
  const password = "heron marble nineteen cups";
  beforeEach(steward);

  it("lets its holder choose a password, once", async () => {
    const code = await link("ann");
    const visitor = browser();
    expect((await visitor.get(`/welcome?code=${code}`)).text).toContain("Welcome, ann");
    expect((await visitor.post("/welcome", { code, password: "short", again: "short" })).status).toBe(422);
    const done = await visitor.post("/welcome", { code, password, again: password });
    expect([done.status, done.headers.get("location")]).toEqual([303, "/account?new=1"]);
    expect(await isIn(visitor)).toBe("ann");
    expect((await browser().get(`/welcome?code=${code}`)).status).toBe(404);
    expect((await browser().post("/welcome", { code, password, again: password })).status).toBe(404);
  });

  it("is used by one of two who open it at once", async () => {
    const code = await link("ann");
    const replies = await Promise.all([1, 2, 3].map(() => browser().post("/welcome", { code, password, again: password })));
    expect(replies.map(({ status }) => status).sort()).toEqual([303, 404, 404]);
  });

  it("runs out after seven days, and is no sign-in where a second factor is set", async () => {
    const code = await link("ann");
    later(7 * 86_400_000);
    expect((await browser().get(`/welcome?code=${code}`)).status).toBe(404);
    const again = await link("ann");
    await inTurn(house.store, (connection) => connection.run("UPDATE account SET factor = 'JBSWY3DPEHPK3PXP'"));
    const visitor = browser();
    const done = await visitor.post("/welcome", { code: again, password, again: password });
    expect(done.headers.get("location")).toBe("/sign-in");
    expect(await isIn(visitor)).toBeNull();
  });

  it("is worth nothing as anything else", async () => {
    const code = await link("ann");
    expect((await browser().get(`/bench?code=${code}`)).status).toBe(404);
    expect((await browser().get("/api/v1/hours", { authorization: `Bearer ${code}` })).status).toBe(401);
    const phone = browser();
    phone.cookies.set("almanac-bench", code);
    expect(await isIn(phone)).toBeNull();
  });
});

describe("a phone at the bench", () => {
  beforeEach(steward);

  it("is enrolled once, reads Service and no more, and can be sent away", async () => {
    await giveAccount(house.store, "max", ["maintenance"]);
    const max = await browser().signIn("max");
    const made = await max.post("/benches", { name: "wood room" });
    const code = /code=([\w-]+)</.exec(made.text)?.[1] ?? "";
    const phone = browser();
    const shown = await phone.get(`/bench?code=${code}`);
    expect(shown.text).toContain("This phone as wood room");
    expect(await isIn(phone)).toBeNull();
    const { headers } = await phone.post("/bench", { code });
    expect(headers.getSetCookie()[0]).toMatch(/^almanac-bench=[\w-]{43}; Path=\/; Expires=[^;]+; HttpOnly; SameSite=Strict$/);
    expect((await phone.get("/api/v1/visitor")).json).toMatchObject({
      name: "bench wood room",
      rights: ["anyone", "come-in", "see-service", "do-service"],
    });
    expect((await phone.get("/api/v1/hours")).status).toBe(403);
    expect((await phone.get("/account", { accept: "text/html" })).status).toBe(403);
    expect((await browser().post("/bench", { code })).status).toBe(404);
    expect((await max.get("/benches")).text).toContain("wood room: enrolled 2026-03-02 by max");
    await max.post("/benches/remove", { name: "wood room" });
    expect(await isIn(phone)).toBeNull();
    expect(await trail()).toEqual([
      "max signed-in dashboard",
      "max changed link for a phone made",
      "bench wood room changed phone enrolled",
      "max changed phone sent away",
    ]);
  });

  it("has an hour to be enrolled", async () => {
    const ann = await browser().signIn("ann");
    const code = /code=([\w-]+)</.exec((await ann.post("/benches", { name: "metal room" })).text)?.[1] ?? "";
    later(3_600_000);
    expect((await browser().post("/bench", { code })).status).toBe(404);
  });

  it("gives way to somebody who signs in on it", async () => {
    const ann = await browser().signIn("ann");
    const code = /code=([\w-]+)</.exec((await ann.post("/benches", { name: "metal room" })).text)?.[1] ?? "";
    const phone = browser();
    await phone.post("/bench", { code });
    await phone.signIn("ann");
    expect(await isIn(phone)).toBe("ann");
    await phone.post("/sign-out");
    expect(await isIn(phone)).toBe("bench metal room");
  });
});

/** A GET with just these headers; fetch sets some of its own. */
const bare = (path: string, headers: Record<string, string>) =>
  new Promise<{ status: number | undefined; location: unknown; refresh: unknown }>((done, fail) => {
    const asked = request(`${house.address}${path}`, { headers }, (reply) => {
      const { location, refresh } = reply.resume().headers;
      done({ status: reply.statusCode, location, refresh });
    });
    asked.on("error", fail).end();
  });

describe("requests from elsewhere", () => {
  beforeEach(steward);

  it("change and read nothing, cookie or not", async () => {
    const visitor = await browser().signIn("ann");
    const elsewhere = { "sec-fetch-site": "cross-site", "sec-fetch-mode": "cors", "sec-fetch-dest": "empty" };
    expect((await visitor.post("/sign-out", {}, elsewhere)).status).toBe(403);
    expect((await visitor.get("/api/v1/visitor", elsewhere)).status).toBe(403);
    expect((await visitor.post("/sign-out", {}, { origin: "http://elsewhere.example" })).status).toBe(403);
    expect(await isIn(visitor)).toBe("ann");
  });

  it("that follow a link to a page ask once more as ours, so that the cookie comes along", async () => {
    const link = {
      accept: "text/html",
      "sec-fetch-site": "cross-site",
      "sec-fetch-mode": "navigate",
      "sec-fetch-dest": "document",
    };
    expect(await bare("/service", link)).toMatchObject({ status: 200, refresh: "0" });
    const asOurs = { ...link, "sec-fetch-site": "same-origin" };
    expect(await bare("/service", asOurs)).toMatchObject({ status: 303, location: "/sign-in?to=%2Fservice" });
    expect(await bare("/service", { ...link, "sec-fetch-dest": "iframe" })).toMatchObject({ status: 403 });
  });

  it("by another name are refused on every route", async () => {
    const statusAs = async (host: string, path: string) => (await bare(path, { host })).status;
    for (const path of ["/", "/sign-in", "/access.css", "/api/v1/visitor", "/api/v1/hours", "/assets/x.js"]) {
      expect(await statusAs("almanac.elsewhere.example", path)).toBe(403);
      expect(await statusAs("127.0.0.1.elsewhere.example:8087", path)).toBe(403);
    }
    expect(await statusAs("localhost:1", "/sign-in")).toBe(200);
  });

  it("that came through a proxy nobody named are refused", async () => {
    expect((await browser().get("/sign-in", { "x-forwarded-for": "192.0.2.1" })).status).toBe(403);
    const proxied = await openHouse({
      exposure: { host: "127.0.0.1", tls: null, proxy: "almanac.test", proxyFrom: [], names: [] },
    });
    try {
      await giveAccount(proxied.store, "ann", ["steward"]);
      const visitor = new Browser(proxied.address);
      const through = { "x-forwarded-for": "192.0.2.1", "x-forwarded-proto": "https" };
      expect((await visitor.get("/sign-in", { "x-forwarded-for": "192.0.2.1" })).status).toBe(403);
      expect((await visitor.get("/sign-in", through)).status).toBe(200);
      const { headers } = await visitor.post("/sign-in", { name: "ann", password: passwordOf("ann") }, through);
      expect(headers.getSetCookie()[0]).toMatch(/; Secure;/);
    } finally {
      await proxied.close();
    }
  });
});
