import { z } from "zod";
import { type Command, type Row, storeCommand } from "./command.ts";

const name = z.string().describe("what to call the phone: where it lies");

const keeping = async () => {
  const [tokens, turn] = await Promise.all([import("../access/tokens.ts"), import("../access/turn.ts")]);
  return { ...tokens, ...turn };
};

const add = storeCommand({
  name: "bench add",
  summary: "make the link that enrols a phone at the bench: it may read Service and tick tasks, without a password",
  examples: ["almanac bench add 'wood room'"],
  operands: "<name>",
  options: z.object({ name }),
  needs: "writes",
  need: "enrol-bench",
  async run({ store, surroundings }, { name }) {
    const { inTurn, issueToken } = await keeping();
    const now = new Date();
    const { secret } = await inTurn(store, (connection) =>
      issueToken(connection, { purpose: "enrol", name, by: surroundings.who }, now),
    );
    const link = `/bench?code=${secret}`;
    const text = `open this address of the dashboard on the phone, once, within an hour:\n  ${link}\n`;
    return { head: { name, link }, text, trail: { name } };
  },
});

const list = storeCommand({
  name: "bench list",
  summary: "every phone that is enrolled",
  examples: ["almanac bench list"],
  options: z.object({}),
  needs: "reads",
  need: "enrol-bench",
  async run({ connection }) {
    const { loadTokens } = await keeping();
    const benches = (await loadTokens(connection, new Date())).filter(({ purpose }) => purpose === "bench");
    const rows = benches.map(({ name, madeAt, madeBy, untilAt, usedAt }) => ({
      name,
      madeAt: madeAt.toISOString(),
      madeBy,
      untilAt: untilAt?.toISOString() ?? null,
      usedAt: usedAt?.toISOString() ?? null,
    }));
    return { head: {}, list: { name: "benches", rows: rows satisfies Row[] } };
  },
});

const remove = storeCommand({
  name: "bench remove",
  summary: "send an enrolled phone away",
  examples: ["almanac bench remove 'wood room'"],
  operands: "<name>",
  options: z.object({ name }),
  needs: "writes",
  need: "enrol-bench",
  async run({ store }, { name }) {
    const { dropToken, inTurn, tokenNamed } = await keeping();
    const now = new Date();
    await inTurn(store, async (connection) => dropToken(connection, await tokenNamed(connection, ["bench"], name, now), now));
    return { head: { name, removed: true }, text: `${name} is sent away\n`, trail: { name } };
  },
});

export const benchCommands: readonly Command[] = [add, list, remove];
