import { z } from "zod";
import { roles } from "../access/rights.ts";
import { type Command, flag, type Row, storeCommand } from "./command.ts";

const name = z.string().describe("the account's name");
const role = z
  .array(z.enum(roles))
  .min(1)
  .describe(`one or more of ${roles.join(", ")}`)
  .meta({ placeholder: "ROLE" });

/** Loaded where a command runs, so that help needs none of it. */
const keeping = async () => {
  const [accounts, turn, tokens, password] = await Promise.all([
    import("../access/accounts.ts"),
    import("../access/turn.ts"),
    import("../access/tokens.ts"),
    import("../access/password.ts"),
  ]);
  return { ...accounts, ...turn, ...tokens, ...password };
};

const linkText = (who: string, link: string): string =>
  `${who} chooses a password at this address of the dashboard, once, within seven days:\n  ${link}\n`;

const add = storeCommand({
  name: "account add",
  summary: "let somebody in: makes the account and a link by which its holder chooses a password",
  examples: ["almanac account add ann --role steward", "almanac account add ben --role board --role safety"],
  operands: "<name>",
  options: z.object({ name, role }),
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "account/add",
  need: "do-setup",
  async run({ store, surroundings }, options) {
    const { addAccount, inTurn, issueToken } = await keeping();
    const now = new Date();
    const { account, secret } = await inTurn(store, async (connection) => {
      const account = await addAccount(connection, options.name, options.role, now);
      return {
        account,
        ...(await issueToken(connection, { purpose: "welcome", name: account.name, by: surroundings.who }, now)),
      };
    });
    const link = `/welcome?code=${secret}`;
    return {
      head: { name: account.name, roles: account.roles, link },
      text: linkText(account.name, link),
      trail: { name: account.name, roles: account.roles },
    };
  },
});

const list = storeCommand({
  name: "account list",
  summary: "every account, its roles, and whether a second factor is set",
  examples: ["almanac account list"],
  options: z.object({}),
  needs: "reads",
  goesWithoutWorkshop: true,
  http: "GET",
  path: "account/list",
  need: "do-setup",
  async run({ connection }) {
    const { loadAccounts } = await keeping();
    const accounts = await loadAccounts(connection);
    const rows = accounts.map(({ name, roles, password, passwordAt, factor, madeAt, lastSeen }) => ({
      name,
      roles: roles.join(", "),
      hasPassword: password !== null,
      hasSecondFactor: factor !== null,
      madeAt: madeAt.toISOString(),
      passwordAt: passwordAt?.toISOString() ?? null,
      lastSeen: lastSeen?.toISOString() ?? null,
    }));
    return { head: {}, list: { name: "accounts", rows: rows satisfies Row[] } };
  },
});

const changeRoles = storeCommand({
  name: "account roles",
  summary: "give an account other roles",
  examples: ["almanac account roles ben --role maintenance"],
  operands: "<name>",
  options: z.object({ name, role }),
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "account/roles",
  need: "do-setup",
  async run({ store }, options) {
    const { changeRoles, inTurn } = await keeping();
    const { name, roles } = await inTurn(store, (connection) => changeRoles(connection, options.name, options.role));
    return { head: { name, roles }, text: `${name} is now: ${roles.join(", ")}\n`, trail: { name, roles } };
  },
});

const remove = storeCommand({
  name: "account remove",
  summary: "take an account away and sign it out everywhere",
  examples: ["almanac account remove ben"],
  operands: "<name>",
  options: z.object({ name }),
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "account/remove",
  need: "do-setup",
  async run({ store }, options) {
    const { inTurn, loadAccounts, removeAccount } = await keeping();
    const { name, left } = await inTurn(store, async (connection) => {
      const { name } = await removeAccount(connection, options.name, new Date());
      return { name, left: (await loadAccounts(connection)).length };
    });
    const isOpen = left === 0;
    const means = isOpen
      ? "; no account is left, so whoever sits at this computer may see and do everything again, and no other computer can reach the dashboard"
      : "";
    return { head: { name, removed: true, isOpen }, text: `${name} is removed${means}\n`, trail: { name } };
  },
});

const setPassword = storeCommand({
  name: "account password",
  summary: "set an account's password, read from standard input (asked for without showing it at a terminal)",
  examples: ["almanac account password ann", "almanac account password ann < password.txt"],
  operands: "<name>",
  options: z.object({ name }),
  readsStdin: "secret",
  needs: "writes",
  goesWithoutWorkshop: true,
  need: "do-setup",
  async run({ store, workshop, surroundings, connection }, options) {
    const { accountNamed, hashOfPassword, inTurn, refuseWeak, setPassword } = await keeping();
    const known = await accountNamed(connection, options.name);
    const password = (await surroundings.stdin()).replace(/\r?\n$/, "");
    await refuseWeak(password, [known.name, workshop.workshop.workshop.name]);
    const hash = await hashOfPassword(password);
    const { name } = await inTurn(store, async (connection) => {
      const account = await accountNamed(connection, options.name);
      await setPassword(connection, account, hash, new Date());
      return account;
    });
    return { head: { name, passwordSet: true }, text: `the password of ${name} is set\n`, trail: { name } };
  },
});

const factor = storeCommand({
  name: "account factor",
  summary: "whether an account has a second factor, and its removal; its holder sets it in the dashboard",
  examples: ["almanac account factor ann", "almanac account factor ann --remove"],
  operands: "<name>",
  options: z.object({ name, remove: flag("take it away, as when the phone is lost and the recovery codes too") }),
  needs: "writes",
  goesWithoutWorkshop: true,
  need: "do-setup",
  async run({ store }, { name: typed, remove }) {
    const { accountNamed, endVisits, inTurn, keepAccount } = await keeping();
    const account = await inTurn(store, async (connection) => {
      const known = await accountNamed(connection, typed);
      if (!remove) return known;
      const bare = { ...known, factor: null, factorStep: null, paperCodes: [] };
      await keepAccount(connection, bare);
      await endVisits(connection, known.name);
      return bare;
    });
    const { name, paperCodes } = account;
    const hasSecondFactor = account.factor !== null;
    return {
      head: { name, hasSecondFactor, recoveryCodesLeft: paperCodes.length },
      text: hasSecondFactor
        ? `${name} has a second factor, and ${paperCodes.length} recovery codes\n`
        : `${name} has no second factor\n`,
      trail: remove ? { name } : null,
    };
  },
});

const recover = storeCommand({
  name: "account recover",
  summary: "the way back after a lost password: signs the account out, forgets password and second factor, makes a new link",
  examples: ["almanac account recover ann"],
  operands: "<name>",
  options: z.object({ name }),
  needs: "writes",
  goesWithoutWorkshop: true,
  http: "POST",
  path: "account/recover",
  need: "do-setup",
  async run({ store, surroundings }, options) {
    const { accountNamed, endVisits, inTurn, issueToken, keepAccount } = await keeping();
    const { forgetTries } = await import("../access/tries.ts");
    const now = new Date();
    const { name, secret } = await inTurn(store, async (connection) => {
      const known = await accountNamed(connection, options.name);
      await keepAccount(connection, {
        ...known,
        password: null,
        passwordAt: null,
        factor: null,
        factorStep: null,
        paperCodes: [],
      });
      await endVisits(connection, known.name);
      await forgetTries(connection, known.name, now);
      const issued = await issueToken(connection, { purpose: "welcome", name: known.name, by: surroundings.who }, now);
      return { name: known.name, ...issued };
    });
    const link = `/welcome?code=${secret}`;
    return { head: { name, link }, text: linkText(name, link), trail: { name } };
  },
});

export const accountCommands: readonly Command[] = [add, list, changeRoles, remove, setPassword, factor, recover];
