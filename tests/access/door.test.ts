// Waiting after failed tries, requests from elsewhere, how far the server may be heard: the sums behind the door.
import { describe, expect, it } from "vitest";
import { placeWithin, waitText } from "../../dashboard/access/door/door.ts";
import { isLoopback, isPrivate, namesOf, refuseExposed } from "../../dashboard/access/exposure.ts";
import { placesFrom } from "../../dashboard/access/proxy.ts";
import { isOurs } from "../../dashboard/access/same-site.ts";
import { accountPatience, failedNow, placeOfAddress, waitMs } from "../../dashboard/access/slow-down.ts";
import { certificate } from "./certificate.ts";

describe("after failed tries", () => {
  const now = new Date("2026-03-01T12:00:00Z");
  const waitAfter = (failed: number, seconds: number) =>
    waitMs({ failed, lastAt: new Date(now.getTime() - seconds * 1000) }, accountPatience, now);

  it("waits not at all, then 2 s, doubling up to a quarter of an hour", () => {
    expect(waitMs(null, accountPatience, now)).toBe(0);
    expect([0, 4, 5, 6, 7, 10].map((failed) => waitAfter(failed, 0) / 1000)).toEqual([0, 0, 2, 4, 8, 64]);
    expect(waitAfter(40, 0)).toBe(15 * 60_000);
    expect(waitAfter(1_000_000, 0)).toBe(15 * 60_000);
  });

  it("counts the wait from the last try, and forgets after a day", () => {
    expect(waitAfter(7, 5)).toBe(3_000);
    expect(waitAfter(7, 8)).toBe(0);
    expect(failedNow({ failed: 7, lastAt: new Date(now.getTime() - 86_400_000) }, accountPatience, now)).toBe(0);
    expect(waitAfter(1_000, 86_400)).toBe(0);
  });

  it("lets nobody guess more than some hundred times a day", () => {
    let failed = 0;
    let lastAt = now;
    let at = now.getTime();
    while (at < now.getTime() + 86_000_000) {
      at += waitMs({ failed, lastAt }, accountPatience, new Date(at));
      failed += 1;
      lastAt = new Date(at);
      at += 1;
    }
    expect(failed).toBeLessThan(120);
  });

  it("takes a household's addresses for one", () => {
    expect(placeOfAddress("::ffff:192.0.2.7")).toBe("192.0.2.7");
    expect(placeOfAddress("2001:db8:1:2:aaaa::1")).toBe(placeOfAddress("2001:0DB8:1:2:bbbb:cccc:dddd:eeee"));
    expect(placeOfAddress("2001:db8:1:2::1")).not.toBe(placeOfAddress("2001:db8:1:3::1"));
    expect(placeOfAddress("2001:db8::1")).toBe("2001:db8:0:0::/64");
    expect(placeOfAddress("::1")).toBe("0:0:0:0::/64");
    expect(placeOfAddress("fe80::1%eth0")).toBe("fe80:0:0:0::/64");
  });

  it("says how long", () => {
    expect(waitText(1_500)).toContain("2 seconds");
    expect(waitText(15 * 60_000)).toContain("15 minutes");
  });
});

describe("a request from elsewhere", () => {
  const request = { method: "POST", path: "/api/v1/service", host: "127.0.0.1:8087", protocol: "http" };
  it.each([
    [{ site: "same-origin" }, true],
    [{ site: "none" }, true],
    [{ site: "cross-site" }, false],
    [{ site: "same-site" }, false],
    [{ site: "cross-site", mode: "navigate", destination: "document" }, false],
    [{ method: "GET", path: "/service", site: "cross-site", mode: "navigate", destination: "document" }, true],
    [{ method: "GET", path: "/service", site: "cross-site", mode: "navigate", destination: "iframe" }, false],
    [{ method: "GET", path: "/api/v1/hours", site: "cross-site", mode: "navigate", destination: "document" }, false],
    [{ method: "GET", path: "/api/v1/hours", site: "same-site", mode: "no-cors", destination: "image" }, false],
    [{ origin: "http://127.0.0.1:8087" }, true],
    [{ origin: "http://127.0.0.1:9000" }, false],
    [{ origin: "https://127.0.0.1:8087" }, false],
    [{ origin: "http://elsewhere.example" }, false],
    [{ origin: "null" }, false],
    [{ site: "cross-site", origin: "http://127.0.0.1:8087" }, false],
    [{}, true],
  ])("%j is ours: %s", (from, expected) => {
    expect(isOurs({ ...request, ...from })).toBe(expected);
  });
});

describe("where to go after sign-in", () => {
  it.each([
    ["/service", "/service"],
    ["/service?machine=planer", "/service?machine=planer"],
    ["//elsewhere.example", "/"],
    ["/\\elsewhere.example", "/"],
    ["https://elsewhere.example/", "/"],
    ["javascript:alert(1)", "/"],
    ["/%2f%2felsewhere.example", "/%2f%2felsewhere.example"],
    ["/\t/elsewhere.example", "/"],
    ["", "/"],
  ])("%j leads to %j", (then, place) => {
    expect(placeWithin(then)).toBe(place);
  });
});

describe("how far it may be heard", () => {
  const here = { host: "127.0.0.1", tls: null, proxy: null, proxyFrom: [], names: [] };
  const tls = { cert: certificate.cert, key: certificate.key };
  it.each([
    ["127.0.0.1", true],
    ["127.8.0.1", true],
    ["::1", true],
    ["[::1]", true],
    ["localhost", true],
    ["::ffff:127.0.0.1", true],
    ["0.0.0.0", false],
    ["::", false],
    ["192.168.1.20", false],
    ["localhost.elsewhere.example", false],
    ["", false],
  ])("%j is this computer: %s", (host, expected) => {
    expect(isLoopback(host)).toBe(expected);
  });

  it("beyond this computer takes a steward, and TLS or a named proxy", () => {
    expect(() => refuseExposed(here, false)).not.toThrow();
    expect(() => refuseExposed({ ...here, host: "0.0.0.0", tls }, false)).toThrow(/account add/);
    expect(() => refuseExposed({ ...here, proxy: "almanac.example" }, false)).toThrow(/account add/);
    expect(() => refuseExposed({ ...here, host: "0.0.0.0" }, true)).toThrow(/--cert/);
    expect(() => refuseExposed({ ...here, host: "0.0.0.0", tls }, true)).not.toThrow();
    expect(() => refuseExposed({ ...here, host: "0.0.0.0", proxy: "almanac.example" }, true)).not.toThrow();
    expect(() => refuseExposed({ ...here, proxy: "almanac.example" }, true)).not.toThrow();
    expect(isPrivate({ ...here, proxy: "almanac.example" })).toBe(false);
  });

  it("answers to loopback names, its own address, the proxy's, those typed and those in its certificate", () => {
    expect(namesOf(here)).toEqual(["127.0.0.1", "localhost", "[::1]"]);
    const names = namesOf({ ...here, host: "192.168.1.20", tls, proxy: "Almanac.example", names: ["bench.local"] });
    expect(names.slice(3).sort()).toEqual(
      ["192.168.1.20", "almanac.example", "bench.local", "heron.test", "[2001:db8:0:0:0:0:0:7]"].sort(),
    );
  });

  it("knows where a proxy comes from", () => {
    const places = placesFrom(["172.18.0.0/16", "2001:db8::/32", "10.0.0.7"]);
    expect(["172.18.9.1", "10.0.0.7", "10.0.0.8"].map((address) => places.check(address))).toEqual([true, true, false]);
    expect(places.check("2001:db8::5", "ipv6")).toBe(true);
    for (const text of ["", "proxy", "10.0.0.0/33", "10.0.0.0/x", "10.0.0.0/-1"])
      expect(() => placesFrom([text])).toThrow(/proxy-from/);
  });
});
