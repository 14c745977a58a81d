import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { plainCommand } from "./command.ts";

export const calc = plainCommand({
  name: "calc",
  summary: "one statistic on JSON from standard input",
  examples: [`echo '{"time":[54,187,216],"status":[1,1,0]}' | almanac calc weibull-fit --json`],
  moreHelp: methodsHelp,
  operands: "<method>",
  options: z.object({ method: z.string().describe("which statistic") }),
  needs: "nothing",
  readsStdin: true,
  http: "POST",
  path: "calc/:method",
  need: "do-sums",
  forBoard: "same",
  async run({ stdin }, { method }) {
    const { calc } = await import("../../analytics/stats/index.ts");
    const text = await stdin();
    let input: unknown;
    try {
      input = JSON.parse(text);
    } catch {
      throw new UsageError({ field: "input", value: text.slice(0, 80), expected: "one JSON object on standard input" });
    }
    return { head: calc(method, input) as Record<string, unknown> };
  },
});

/** Every method with an input to start from: its names are the inputs. */
async function methodsHelp(): Promise<string> {
  const { benchMethods } = await import("../../analytics/stats/index.ts");
  const lines = benchMethods.map(({ name, help, example }) => `  ${name}\n      ${help}\n      like ${JSON.stringify(example)}`);
  return `\nMethods, each with an input to start from:\n${lines.join("\n")}`;
}
