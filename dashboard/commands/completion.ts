import { z } from "zod";
import { plainCommand } from "./command.ts";

const shells = ["bash", "zsh", "fish"] as const;

export const completion = plainCommand({
  name: "completion",
  summary: "a script that lets your shell complete commands and options",
  examples: [
    "almanac completion bash > ~/.local/share/bash-completion/completions/almanac",
    "almanac completion zsh > ~/.zfunc/_almanac",
    "almanac completion fish > ~/.config/fish/completions/almanac.fish",
  ],
  operands: "<shell>",
  options: z.object({ shell: z.enum(shells).describe("which shell") }),
  needs: "nothing",
  need: "do-setup",
  async run({ commands }, { shell }) {
    const { completionScript } = await import("../completion.ts");
    const script = completionScript(shell, commands);
    return { head: { shell, script }, text: script };
  },
});
