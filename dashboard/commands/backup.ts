import { resolve } from "node:path";
import { z } from "zod";
import { type Command, flag, plainCommand, type Row, storeCommand } from "./command.ts";

const file = z.string().describe("the archive").meta({ placeholder: "FILE" });

const backup = storeCommand({
  name: "backup",
  summary: "one archive of store, workshop file, roster, profiles and accounts, without the keys; serve goes on meanwhile",
  examples: ["almanac backup workshop-2026-03.almanac"],
  operands: "<file>",
  options: z.object({ file }),
  needs: "writes",
  need: "do-setup",
  async run({ store, workshop, surroundings }, options) {
    const { backUp } = await import("../keeping/backup.ts");
    const made = await backUp(store, workshop, resolve(surroundings.cwd, options.file), new Date());
    const head = { ...made, file: options.file };
    return { head, text: `${options.file}: ${made.bytes} bytes, sha256 ${made.sha256}\n`, trail: { sha256: made.sha256 } };
  },
});

const restore = plainCommand({
  name: "restore",
  summary: "put a backup back: proved first, then put in place in one step; only where no store is, or with --replace",
  examples: ["almanac restore workshop-2026-03.almanac", "almanac restore workshop-2026-03.almanac --replace"],
  operands: "<file>",
  options: z.object({ file, replace: flag("put it in the place of the store that is there, which is kept beside it") }),
  needs: "nothing",
  atHolder: true,
  need: "do-setup",
  async run({ cwd, who }, options, held) {
    const { restore } = await import("../keeping/restore.ts");
    const settings = {
      file: resolve(cwd, options.file),
      store: resolve(cwd, options.store),
      workshop: resolve(cwd, options.workshop),
      isToReplace: options.replace,
      held,
      who,
    };
    const { madeAt, schema, checks, files, notes } = await restore(settings);
    const text = [
      `restored as of ${madeAt}`,
      ...checks.map(({ name, detail }) => `  ${name}: yes${detail ? ` (${detail})` : ""}`),
      ...files.map((each) => `  ${each.file}: ${each.state}`),
      ...notes.map((note) => `  note: ${note}`),
    ];
    return {
      head: { file: options.file, store: options.store, madeAt, schema, files, notes },
      list: { name: "checks", rows: checks as unknown as Row[] },
      text: `${text.join("\n")}\n`,
    };
  },
});

const rescue = plainCommand({
  name: "rescue",
  summary: "save what can still be read of a damaged store into a new one, and say what is lost",
  examples: ["almanac rescue saved.duckdb"],
  operands: "<file>",
  options: z.object({ file: z.string().describe("the new store").meta({ placeholder: "FILE" }) }),
  needs: "nothing",
  atHolder: true,
  need: "do-setup",
  async run({ cwd }, options, held) {
    const { rescue } = await import("../keeping/rescue.ts");
    const saved = await rescue(resolve(cwd, options.store), resolve(cwd, options.file), held);
    const lost = saved.reduce((sum, table) => sum + table.lost, 0);
    const hurt = saved.filter((table) => table.lost + table.patchy > 0);
    const text = [
      `${options.file}: ${saved.reduce((sum, table) => sum + table.saved, 0)} rows saved, ${lost} lost`,
      ...hurt.map((table) => `  ${table.table}: ${table.saved} of ${table.rows} rows saved, ${table.patchy} of them with gaps`),
      ...(lost > 0 ? ["lines of the log come back where the logs are read again: almanac ingest LOGS --store NEW"] : []),
    ];
    return {
      head: { file: options.file, lost },
      list: { name: "tables", rows: saved as unknown as Row[] },
      text: `${text.join("\n")}\n`,
    };
  },
});

const exportCommand = storeCommand({
  name: "export",
  summary: "the event history as Parquet, a folder for each year, readable by whatever reads Parquet",
  examples: ["almanac export history"],
  operands: "<dir>",
  options: z.object({ dir: z.string().describe("a new or empty folder").meta({ placeholder: "DIR" }) }),
  needs: "writes",
  need: "do-setup",
  async run(desk, { dir }) {
    const { exportHistory } = await import("../keeping/export.ts");
    const files = await exportHistory(desk, resolve(desk.surroundings.cwd, dir));
    const rows = files.reduce((sum, each) => sum + each.rows, 0);
    return { head: { dir, rows }, list: { name: "files", rows: files as unknown as Row[] }, trail: { rows } };
  },
});

const badgeKeyCommand = plainCommand({
  name: "badge-key",
  summary: "whether the key of the badge hashes is there; --new begins a new one where it is lost",
  examples: ["almanac badge-key", "almanac badge-key --new"],
  options: z.object({ new: flag("begin a new key: badges read from now on are not joined to those read before") }),
  needs: "nothing",
  atHolder: true,
  need: "do-setup",
  async run({ cwd, who }, options, held) {
    const { keyState } = await import("../keeping/key.ts");
    const head = await keyState({ path: resolve(cwd, options.store), isToBegin: options.new, held, who });
    return { head: { ...head }, text: `${head.key}: ${head.state}\n` };
  },
});

export const keepingCommands: readonly Command[] = [backup, restore, rescue, exportCommand, badgeKeyCommand];
