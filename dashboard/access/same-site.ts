// Requests that a page elsewhere made a visitor's browser send are refused, whatever cookie they carry.
import type { RequestHandler } from "express";
import { WebError } from "../server/problem.ts";

/** The parts of a request that tell where it was made. */
export interface Origin {
  method: string;
  path: string;
  /** Host as the browser asked for it, with port. */
  host: string;
  protocol: string;
  site?: string | undefined;
  mode?: string | undefined;
  destination?: string | undefined;
  origin?: string | undefined;
}

/**
 * Browsers say where a request was made (`Sec-Fetch-Site`, W3C Fetch Metadata; on plain HTTP in a network only `Origin`). Ours,
 * or typed by the reader: fine. From elsewhere: only a visit to a page, a GET into a window of its own. What says nothing is no
 * browser of today, and a SameSite cookie doesn't travel with it either.
 */
export function isOurs({ method, path, host, protocol, site, mode, destination, origin }: Origin): boolean {
  const isReading = method === "GET" || method === "HEAD";
  if (site !== undefined) {
    if (site === "same-origin" || site === "none") return true;
    return isReading && mode === "navigate" && destination === "document" && !path.startsWith("/api/");
  }
  return origin === undefined || origin === `${protocol}://${host}` || (isReading && origin === "null");
}

export const onlyOurs: RequestHandler = (request, _response, next) => {
  const header = (name: string) => request.get(name);
  const from = {
    method: request.method,
    path: request.path,
    host: request.get("host") ?? "",
    protocol: request.protocol,
    site: header("sec-fetch-site"),
    mode: header("sec-fetch-mode"),
    destination: header("sec-fetch-dest"),
    origin: header("origin"),
  };
  if (!isOurs(from))
    throw new WebError(403, { field: "origin", value: from.origin ?? from.site, expected: "a request from our own pages" });
  next();
};
