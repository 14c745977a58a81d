import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { type Command, type Row, storeCommand } from "./command.ts";

const name = z.string().describe("what to call it");
const served = ["source", "calendar"] as const;

const keeping = async () => {
  const [tokens, turn] = await Promise.all([import("../access/tokens.ts"), import("../access/turn.ts")]);
  return { ...tokens, ...turn };
};

const tokenText = (purpose: string, name: string, token: string): string =>
  purpose === "calendar"
    ? `the calendar ${name} is at this address of the dashboard; it is shown only now:\n  /calendar.ics?token=${token}\n`
    : `the source ${name} sends this with its events, shown only now:\n  Authorization: Bearer ${token}\n`;

const add = storeCommand({
  name: "token add",
  summary: "let a source send events, or a calendar read due dates: one token, one purpose, shown once",
  examples: ["almanac token add badge-server --purpose source", "almanac token add ann-calendar --purpose calendar"],
  operands: "<name>",
  options: z.object({
    name,
    purpose: z
      .enum(served)
      .describe("what it is good for")
      .meta({ placeholder: served.join("|") }),
  }),
  needs: "writes",
  goesWithoutWorkshop: true,
  need: "do-setup",
  async run({ store, surroundings }, { name, purpose }) {
    const { inTurn, issueToken, loadTokens } = await keeping();
    const now = new Date();
    const { secret } = await inTurn(store, async (connection) => {
      const isTaken = (await loadTokens(connection, now)).some((token) => token.name === name && isServed(token.purpose));
      if (isTaken)
        throw new UsageError({ field: "name", value: name, expected: "a name that no token has yet, or 'token renew'" });
      return issueToken(connection, { purpose, name, by: surroundings.who }, now);
    });
    return { head: { name, purpose, token: secret }, text: tokenText(purpose, name, secret), trail: { name, purpose } };
  },
});

const isServed = (purpose: string): boolean => (served as readonly string[]).includes(purpose);

const list = storeCommand({
  name: "token list",
  summary: "every token: what for, since when, when last used",
  examples: ["almanac token list"],
  options: z.object({}),
  needs: "reads",
  goesWithoutWorkshop: true,
  http: "GET",
  need: "do-setup",
  async run({ connection }) {
    const { loadTokens } = await keeping();
    const tokens = (await loadTokens(connection, new Date())).filter(({ purpose }) => isServed(purpose));
    const rows = tokens.map(({ name, purpose, madeAt, madeBy, usedAt }) => ({
      name,
      purpose,
      madeAt: madeAt.toISOString(),
      madeBy,
      usedAt: usedAt?.toISOString() ?? null,
    }));
    return { head: {}, list: { name: "tokens", rows: rows satisfies Row[] } };
  },
});

const remove = storeCommand({
  name: "token remove",
  summary: "make a token worth nothing",
  examples: ["almanac token remove badge-server"],
  operands: "<name>",
  options: z.object({ name }),
  needs: "writes",
  goesWithoutWorkshop: true,
  need: "do-setup",
  async run({ store }, { name }) {
    const { dropToken, inTurn, tokenNamed } = await keeping();
    const now = new Date();
    const { purpose } = await inTurn(store, async (connection) => {
      const token = await tokenNamed(connection, served, name, now);
      await dropToken(connection, token, now);
      return token;
    });
    return { head: { name, purpose, removed: true }, text: `the token ${name} is worth nothing now\n`, trail: { name, purpose } };
  },
});

const renew = storeCommand({
  name: "token renew",
  summary: "put a new token in the place of an old one",
  examples: ["almanac token renew badge-server"],
  operands: "<name>",
  options: z.object({ name }),
  needs: "writes",
  goesWithoutWorkshop: true,
  need: "do-setup",
  async run({ store, surroundings }, { name }) {
    const { inTurn, issueToken, tokenNamed } = await keeping();
    const now = new Date();
    const { purpose, secret } = await inTurn(store, async (connection) => {
      const { purpose } = await tokenNamed(connection, served, name, now);
      return { purpose, ...(await issueToken(connection, { purpose, name, by: surroundings.who }, now)) };
    });
    return { head: { name, purpose, token: secret }, text: tokenText(purpose, name, secret), trail: { name, purpose } };
  },
});

export const tokenCommands: readonly Command[] = [add, list, remove, renew];
