import { z } from "zod";
import { type Command, type Row, storeCommand } from "./command.ts";

const badge = z.string().min(1).describe("a badge as on the card, or as it is stored").meta({ placeholder: "BADGE" });

const about = storeCommand({
  name: "about",
  summary: "what is held on a badge's holder, where else it stands, and who looked at member data since",
  examples: ["almanac about 00417", "almanac about b~0123456789abcdef0123 --json"],
  operands: "<badge>",
  options: z.object({ badge }),
  needs: "reads",
  need: "see-members",
  async run(desk, options) {
    const { aboutMember } = await import("../keeping/about.ts");
    const { held, ...head } = await aboutMember(desk, options.badge);
    return { head: { ...head }, list: { name: "held", rows: held as unknown as Row[] } };
  },
});

const forget = storeCommand({
  name: "forget",
  summary: "forget a badge's holder: the machine's hours stay, badge and name go; the store is written anew",
  examples: ["almanac forget 00417"],
  operands: "<badge>",
  options: z.object({ badge }),
  needs: "writes",
  need: "do-setup",
  async run(desk, options) {
    const { forgetMember } = await import("../keeping/forget.ts");
    const forgotten = await forgetMember(desk, options.badge);
    const { badges, elsewhere, standIns } = forgotten;
    const text = [
      `forgotten: ${badges} ${badges === 1 ? "badge" : "badges"} of one holder; their lines stand under ${standIns.join(", ")}`,
      ...(elsewhere.length > 0 ? ["still to be dealt with by hand, since it stands there too:"] : []),
      ...elsewhere.map(
        ({ kind, file, lines, isThere }) =>
          `  ${kind}: ${file}${lines === null ? "" : `, ${lines} lines`}${isThere ? "" : " (not there any more, or not from here)"}`,
      ),
      "an account or a record signed by the person is not touched: see 'almanac account list'",
    ];
    const { rows, ...head } = forgotten;
    return {
      head: { ...head },
      list: { name: "rows", rows: rows as unknown as Row[] },
      text: `${text.join("\n")}\n`,
      trail: { badges },
    };
  },
});

export const memberCommands: readonly Command[] = [about, forget];
