// Which names the server answers to: a page elsewhere must not reach loopback by giving its own name our address.
import type { RequestHandler } from "express";
import { problem } from "./problem.ts";

/** Refuses, on every route, a Host that is none of `names` (compared without port and case). */
export const onlyHosts =
  (names: readonly string[]): RequestHandler =>
  (request, response, next) => {
    const host = (request.headers.host ?? "").toLowerCase().replace(/:\d+$/, "");
    if (names.includes(host)) next();
    else problem(response, 403, { field: "host", value: host, expected: `one of ${names.join(", ")}` });
  };
