// Answers for pages made on the server: the same commands as over the web, with the same rights, without a web in between.
import type { Request } from "express";
import { UsageError } from "../../shared/errors.ts";
import type { Access } from "../access/access.ts";
import { hasRight } from "../access/rights.ts";
import { type Command, commandNamed } from "../commands/command.ts";
import { type Asker, NotAnswered, Refused } from "../pages/index.ts";
import { quiet } from "../progress.ts";
import { jsonFromAnswer } from "../render.ts";
import { type Holder, runCommand } from "../run.ts";

export interface AskInProcess {
  holder: Holder;
  commands: readonly Command[];
  access: Access;
  workshop: string;
}

export function askerInProcess(
  { holder, commands, access, workshop }: AskInProcess,
  request: Request,
  signal: AbortSignal,
): Asker {
  const visitor = access.visitor(request);
  const answered = async (name: string, options: Record<string, unknown>, input: unknown): Promise<Record<string, unknown>> => {
    const command = commandNamed(commands, name);
    if (!hasRight(visitor.holders, command.need)) throw new Refused(name);
    const answer = await runCommand(
      command,
      { ...options, workshop, store: holder.store.path },
      {
        cwd: process.cwd(),
        stdin: async () => JSON.stringify(input),
        progress: quiet,
        signal,
        isPage: true,
        who: visitor.name ?? "this computer",
        isForBoard: access.isBoards(request, command),
        asOfDefault: "now",
        commands,
      },
      holder,
    );
    // A page's data travel as JSON; what is rendered here must be what arrives there.
    return JSON.parse(JSON.stringify(jsonFromAnswer(access.fit(answer, command, request)))) as Record<string, unknown>;
  };
  return {
    ask: (command, params = {}) => answered(command, definedOf(params), {}) as never,
    async sum(method, input) {
      try {
        return await answered("calc", { method }, input);
      } catch (error) {
        if (error instanceof UsageError) throw new NotAnswered(error.message, 400, error);
        throw error;
      }
    },
  };
}

const definedOf = (params: Readonly<Record<string, string | undefined>>): Record<string, string> =>
  Object.fromEntries(Object.entries(params).filter((entry): entry is [string, string] => entry[1] !== undefined));
