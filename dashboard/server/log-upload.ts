// A log dropped on the Setup leaf: its bytes go straight into a file of the store's work folder, and no further than its limit.
import type { RequestHandler } from "express";
import type { Store } from "../../shared/store.ts";
import { keepUpload, largestUpload, TooLarge } from "../setup/uploads.ts";
import { WebError } from "./problem.ts";

/** Answers `{upload, name, bytes}`. What is sent is the file itself, its name in the query. */
export const logUpload = (store: Store): RequestHandler => {
  const tooLarge = () =>
    new WebError(413, {
      field: "file",
      value: null,
      expected: `at most ${largestUpload / 2 ** 20} MiB; read larger logs with almanac ingest on the server's computer`,
    });
  return async (request, response) => {
    if (Number(request.headers["content-length"] ?? 0) > largestUpload) throw tooLarge();
    const { name } = request.query;
    try {
      const { id, name: kept, bytes } = await keepUpload(store.workDir, typeof name === "string" ? name : "log.csv", request);
      response.set("cache-control", "no-store").json({ upload: id, name: kept, bytes });
    } catch (error) {
      throw error instanceof TooLarge ? tooLarge() : error;
    }
  };
};
