// The table of rights, word for word: a change of it has to be made here too, on purpose.
import express from "express";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { asNeeding, needsOfRoutes, refuseUndeclared } from "../../dashboard/access/guards.ts";
import { hasRight, holders, isBoards, memberNeeds, type Need, needs, rights } from "../../dashboard/access/rights.ts";
import { plainCommand } from "../../dashboard/commands/command.ts";
import { commands } from "../../dashboard/commands/index.ts";

describe("the table", () => {
  it("gives each who comes to the door these rights and no other", () => {
    const table = Object.fromEntries(
      holders.map((holder) => [holder, needs.filter((need) => hasRight([holder], need)).join(" ")]),
    );
    expect(table).toEqual({
      maintenance:
        "anyone come-in own-account see-use see-service do-service see-calendar see-demand see-log do-sums enrol-bench",
      board: "anyone come-in own-account see-use see-demand do-sums",
      safety: "anyone come-in own-account see-use see-members see-findings do-review see-log see-lines do-sums",
      steward:
        "anyone come-in own-account see-use see-members see-service do-service see-calendar see-demand see-findings do-review see-log see-lines do-sums enrol-bench see-trail do-setup",
      bench: "anyone come-in see-service do-service",
      source: "anyone send-events",
      calendar: "anyone see-calendar",
    });
    expect(needs.filter((need) => hasRight([], need))).toEqual(["anyone"]);
  });

  it("never lets the board, a phone or a token see members", () => {
    for (const need of memberNeeds)
      expect(rights[need]).not.toEqual(expect.arrayContaining([expect.stringMatching(/board|bench|source|calendar|anyone/)]));
  });

  it("answers as the board where nothing but the board's seat gives the right", () => {
    expect(isBoards(["board"], "see-use")).toBe(true);
    expect(isBoards(["board", "maintenance"], "see-use")).toBe(false);
    expect(isBoards(["board", "safety"], "see-demand")).toBe(true);
    expect(isBoards(["safety"], "see-use")).toBe(false);
    expect(isBoards([], "see-use")).toBe(false);
  });
});

describe("what names no need", () => {
  const quiet = plainCommand({
    name: "quiet",
    summary: "",
    examples: [],
    options: z.object({}),
    needs: "nothing",
    http: "GET",
    need: "see-use",
    run: async () => ({ head: {} }),
  });

  it("does not start as a command", () => {
    expect(() => refuseUndeclared(commands)).not.toThrow();
    expect(() => refuseUndeclared([{ ...quiet, need: "see-everything" as Need }])).toThrow(/quiet names no need/);
  });

  it("does not start as a command that the board may ask without an answer made for it", () => {
    expect(() => refuseUndeclared([quiet])).toThrow(/forBoard/);
    expect(() => refuseUndeclared([{ ...quiet, forBoard: "same" }])).not.toThrow();
  });

  it("does not start as a route, on whatever level", () => {
    const handler: express.RequestHandler = (_request, response) => void response.end();
    const guard = () => asNeeding("see-use", ((_request, _response, next) => next()) as express.RequestHandler);
    const bare = express();
    bare.get("/log", handler);
    expect(() => needsOfRoutes(bare)).toThrow("GET /log names no need");
    const late = express();
    late.get("/log", handler, guard());
    expect(() => needsOfRoutes(late)).toThrow("GET /log names no need");
    const inner = express.Router();
    inner.post("/tick", guard(), handler);
    const outer = express();
    outer.use("/api", inner);
    expect(needsOfRoutes(outer)).toEqual([{ method: "post", path: "/tick", need: "see-use" }]);
    inner.delete("/tick", handler);
    expect(() => needsOfRoutes(outer)).toThrow("DELETE /tick names no need");
    const between = express();
    between.use(handler);
    expect(() => needsOfRoutes(between)).toThrow("names no need");
  });
});
