// The command line, made from the list of commands: options, help, suggestions, exit codes.
import { Command as Cli, CommanderError, Option } from "commander";
import { z } from "zod";
import { UsageError } from "../shared/errors.ts";
import { type Command, common } from "./commands/command.ts";
import { kebab } from "./options.ts";

/** What was typed: the command, and its options as text, not yet looked at. */
export interface Typed {
  command: Command;
  options: Record<string, unknown>;
}

interface OptionShape {
  type?: string;
  enum?: string[];
  default?: unknown;
  description?: string;
  placeholder?: string;
}

/** Every option of a schema with what help and parsing need to know of it. */
export function optionShapes(schema: z.ZodObject): Record<string, OptionShape> {
  const json = z.toJSONSchema(schema, { io: "input", unrepresentable: "any" });
  return (json.properties ?? {}) as Record<string, OptionShape>;
}

const operandNames = (command: Command): string[] => (command.operands?.match(/[\w-]+/g) ?? []).map(camel);
const camel = (name: string): string => name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());

function addOptions(cli: Cli, schema: z.ZodObject, except: string[]): void {
  for (const [name, shape] of Object.entries(optionShapes(schema))) {
    if (except.includes(name)) continue;
    const flag = `--${kebab(name)}`;
    const placeholder = shape.placeholder ?? (shape.enum ? shape.enum.join("|") : "VALUE");
    const flags =
      shape.type === "boolean" ? flag : shape.type === "array" ? `${flag} <${placeholder}...>` : `${flag} <${placeholder}>`;
    const byDefault = shape.default === undefined || shape.default === false ? "" : ` (default ${JSON.stringify(shape.default)})`;
    cli.addOption(new Option(flags, `${shape.description ?? ""}${byDefault}`));
  }
}

/** Parses a command line (without node and script). Gives null where help or the version was printed. Throws UsageError. */
export function typedFromArgv(argv: string[], version: string, commands: readonly Command[], moreHelp = ""): Typed | null {
  let typed: Typed | null = null;
  const program = new Cli("almanac")
    .description("Reads a workshop's badge log and answers what is due, what to buy a second of, and what is worth a walk.")
    .version(version)
    .enablePositionalOptions()
    .showSuggestionAfterError()
    .exitOverride()
    .configureOutput({ writeErr: () => undefined });
  const parents = new Map<string, Cli>([["", program]]);
  const parentOf = (path: string): Cli => {
    const known = parents.get(path);
    if (known) return known;
    const made = program
      .command(path)
      .description(namesUnder(path, commands).join(", "))
      .exitOverride()
      .showSuggestionAfterError();
    made.configureOutput({ writeErr: () => undefined });
    parents.set(path, made);
    return made;
  };
  for (const command of commands) {
    const words = command.name.split(" ");
    const cli = parentOf(words.slice(0, -1).join(" "))
      .command(`${words.at(-1)}${command.operands ? ` ${command.operands}` : ""}`)
      .description(command.summary)
      .exitOverride()
      .showSuggestionAfterError()
      .configureOutput({ writeErr: () => undefined });
    // A word that answers by itself and has others under it: what stands behind one of those is that one's.
    if (namesUnder(command.name, commands).length > 0) parents.set(command.name, cli.enablePositionalOptions());
    const names = operandNames(command);
    addOptions(cli, command.options, names);
    addOptions(cli, common, Object.keys(command.options.shape));
    if (command.examples.length)
      cli.addHelpText("after", `\nExamples:\n${command.examples.map((line) => `  ${line}`).join("\n")}`);
    if (command.moreHelp && moreHelp) cli.addHelpText("after", moreHelp);
    cli.action((...given: unknown[]) => {
      const operands = Object.fromEntries(names.map((name, i) => [name, given[i]]).filter(([, value]) => value !== undefined));
      typed = { command, options: { ...cli.opts(), ...operands } };
    });
  }
  try {
    program.parse(argv, { from: "user" });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    if (error.exitCode === 0) return null;
    if (error.code === "commander.help") {
      process.stdout.write(program.helpInformation());
      throw new UsageError({ field: "command", value: argv.join(" "), expected: "one of the commands above" });
    }
    throw usageFromCommander(error, argv, commands);
  }
  return typed;
}

/** What the help of the typed command says besides; "" where no help is asked for. */
export async function moreHelpFor(argv: readonly string[], commands: readonly Command[]): Promise<string> {
  if (!argv.some((word) => word === "--help" || word === "-h" || word === "help")) return "";
  const typed = argv.filter((word) => word !== "help").join(" ");
  return (await commands.find(({ name, moreHelp }) => moreHelp && `${typed} `.startsWith(`${name} `))?.moreHelp?.()) ?? "";
}

const namesUnder = (path: string, commands: readonly Command[]): string[] =>
  commands.filter((command) => command.name.startsWith(`${path} `)).map((command) => command.name.slice(path.length + 1));

function usageFromCommander(error: CommanderError, argv: string[], commands: readonly Command[]): UsageError {
  const message = error.message
    .replace(/^error: /, "")
    .replace(/\n/g, " ")
    .trim();
  const quoted = /'([^']*)'/.exec(message)?.[1] ?? null;
  const isCommand = error.code === "commander.unknownCommand" || (error.code === "commander.excessArguments" && argv.length < 2);
  const field = isCommand ? "command" : (/--([\w-]+)/.exec(message)?.[1] ?? "operand");
  const expected = isCommand ? commands.map((command) => command.name).join(", ") : "what 'almanac COMMAND --help' shows";
  return new UsageError({ field, value: isCommand ? quoted : (quoted ?? argv.join(" ")), expected, message });
}
