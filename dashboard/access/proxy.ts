// A proxy in front: only one that was named, only from where it stands, and only with TLS towards the reader.
import { BlockList, isIP } from "node:net";
import type { RequestHandler } from "express";
import { UsageError } from "../../shared/errors.ts";
import { WebError } from "../server/problem.ts";
import { type Exposure, isLoopback } from "./exposure.ts";

const forwarding = ["forwarded", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto"];

/** Addresses like `10.0.0.7` and subnets like `172.18.0.0/16`. Throws UsageError for what is neither. */
export function placesFrom(texts: readonly string[]): BlockList {
  const places = new BlockList();
  for (const text of texts) {
    const [address = "", bits] = text.split("/");
    const family = isIP(address) === 6 ? "ipv6" : "ipv4";
    const most = family === "ipv6" ? 128 : 32;
    const isFit = isIP(address) !== 0 && (bits === undefined || (/^\d{1,3}$/.test(bits) && Number(bits) <= most));
    if (!isFit)
      throw new UsageError({
        field: "proxy-from",
        value: text,
        expected: "an address like 10.0.0.7 or a subnet like 172.18.0.0/16",
      });
    places.addSubnet(address, bits === undefined ? most : Number(bits), family);
  }
  return places;
}

/**
 * Without a named proxy nothing may come forwarded: "this computer" would be anyone. With one and no TLS of our own, everything
 * else must come from this computer, so that nobody goes round the proxy in the clear.
 */
export function onlyNamedProxy(exposure: Exposure): RequestHandler {
  const places = placesFrom(exposure.proxyFrom);
  return (request, _response, next) => {
    const isForwarded = forwarding.some((name) => request.headers[name] !== undefined);
    if (exposure.proxy === null) {
      if (!isForwarded) return next();
      throw new WebError(403, {
        field: "proxy",
        value: null,
        expected: "the proxy in front named to the server: almanac serve --proxy NAME",
      });
    }
    const peer = (request.socket.remoteAddress ?? "").replace(/^::ffff:(?=\d+\.)/i, "");
    const isFromProxy = isLoopback(peer) || places.check(peer, isIP(peer) === 6 ? "ipv6" : "ipv4");
    if (!isFromProxy && exposure.tls === null)
      throw new WebError(403, { field: "address", value: peer, expected: `a visit by way of ${exposure.proxy}` });
    if (isForwarded && !request.secure)
      throw new WebError(403, {
        field: "X-Forwarded-Proto",
        value: request.protocol,
        expected: "https, set by a proxy that speaks TLS",
      });
    next();
  };
}
