// Errors over the web as problem details (RFC 9457); the reader sees only what is meant for them.
import type { ErrorRequestHandler, Response } from "express";
import { type Complaint, ConflictError, FailedError, sentenceFromComplaint, UsageError } from "../../shared/errors.ts";

const titles: Record<number, string> = {
  400: "That can't be asked like this",
  401: "Sign in first",
  403: "Not for you",
  404: "Nothing is here",
  405: "Not with this method",
  409: "It has changed meanwhile",
  413: "Too much at once",
  415: "Not in this form",
  422: "Read, but not understood",
  429: "Too often",
  500: "It failed on our side",
};

/** `more` stands beside the complaint: what is there already, of a conflict. */
export function problem(response: Response, status: number, complaint: Complaint, more: Record<string, unknown> = {}): void {
  response
    .status(status)
    .type("application/problem+json")
    .send(
      JSON.stringify({
        type: "about:blank",
        title: titles[status] ?? "Error",
        status,
        detail: sentenceFromComplaint(complaint),
        error: complaint,
        ...more,
      }),
    );
}

/** An error that knows its web status (401, 403, 409, 422 …). */
export class WebError extends Error {
  readonly status: number;
  readonly complaint: Complaint;
  constructor(status: number, complaint: Complaint) {
    super(sentenceFromComplaint(complaint));
    this.status = status;
    this.complaint = complaint;
  }
}

/** The last handler: what has a complaint is told, everything else goes to the log and is told as ours. */
export const tellErrors =
  (log: (line: string) => void): ErrorRequestHandler =>
  (error, request, response, next) => {
    // The reader went away, and the work was stopped for that: nobody is left to tell, and nothing went wrong.
    if (response.destroyed) return;
    if (response.headersSent) {
      log(`${request.method} ${request.path}: ${error instanceof Error ? error.message : error}`);
      next(error);
      return;
    }
    if (error instanceof WebError) return problem(response, error.status, error.complaint);
    if (error instanceof ConflictError) return problem(response, 409, error.complaint, error.known);
    if (error instanceof UsageError) return problem(response, 400, error.complaint);
    if (error instanceof RangeError && /call stack/.test(error.message))
      return problem(response, 422, { field: "body", value: null, expected: "a body that nests less deeply" });
    const status = bodyStatus(error);
    if (status)
      return problem(response, status, {
        field: "body",
        value: null,
        expected: bodyExpected[status] ?? "a body that can be read",
      });
    log(`${request.method} ${request.path}: ${error instanceof Error ? (error.stack ?? error.message) : error}`);
    if (error instanceof FailedError) return problem(response, 500, error.complaint);
    problem(response, 500, { field: "program", value: null, expected: "no such failure; the server's log has the details" });
  };

const bodyExpected: Record<number, string> = { 400: "JSON", 413: "at most the size the address allows", 415: "a body in UTF-8" };

const bodyStatus = (error: unknown): number | null => {
  const status = (error as { status?: unknown } | null)?.status;
  return typeof status === "number" && status >= 400 && status < 500 ? status : null;
};
