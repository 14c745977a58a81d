// One spoken command: its name, its options as typed, the reader's terminal; and how its answer is written out.
import { commandNamed, type Surroundings } from "../commands/command.ts";
import { jsonFromAnswer, type Terminal, type Told, tableFromAnswer, toldFromError, toldText } from "../render.ts";
import { type Holder, runCommand } from "../run.ts";

export interface Spoken {
  name: string;
  options: Record<string, unknown>;
  terminal: Terminal;
}

export type Say = (out: string, err: string) => Promise<unknown>;

interface Choices {
  holder?: Holder;
  /** Errors that the caller wants to see itself. */
  rethrow?: (error: unknown) => boolean;
}

const stopped: Told = {
  complaint: {
    field: "command",
    value: null,
    expected: "to be let finish",
    message: "stopped before it had finished; the store is as it was",
  },
  exitCode: 1,
};

/** Runs it, writes the answer through `say`, gives the exit code. */
export async function runSpoken(
  spoken: Spoken,
  surroundings: Surroundings,
  say: Say,
  { holder, rethrow }: Choices = {},
): Promise<number> {
  const isJson = spoken.options.json === true;
  try {
    const answer = await runCommand(
      commandNamed(surroundings.commands, spoken.name),
      spoken.options,
      { ...surroundings, isForTerminal: !isJson },
      holder,
    );
    surroundings.progress.end();
    await say(isJson ? `${JSON.stringify(jsonFromAnswer(answer))}\n` : tableFromAnswer(answer, spoken.terminal, spoken.name), "");
    return answer.exitCode ?? 0;
  } catch (error) {
    surroundings.progress.end();
    if (rethrow?.(error)) throw error;
    const told = surroundings.signal.aborted ? stopped : toldFromError(error);
    const { out, err } = toldText(told, isJson);
    await say(out, err);
    return told.exitCode;
  }
}
