import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const verify = storeCommand({
  name: "verify",
  summary: "read all of the store, add up its counts, derive its sessions anew and compare",
  examples: ["almanac verify"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "do-setup",
  async run({ connection }) {
    const { checkStore } = await import("../keeping/checks.ts");
    const { noteOfStore } = await import("../../shared/store.ts");
    const checks = await checkStore(connection);
    const ok = checks.every((check) => check.ok);
    return {
      head: { ok, schema: Number(await noteOfStore(connection, "schema")) },
      list: { name: "checks", rows: checks as unknown as Row[] },
      exitCode: ok ? 0 : 1,
    };
  },
});
