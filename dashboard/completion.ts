// Scripts by which a shell completes what is typed, made from the commands themselves.
import { type Command, common } from "./commands/command.ts";
import { kebab } from "./options.ts";
import { optionShapes } from "./program.ts";

interface Word {
  text: string;
  means: string;
  /** What may follow it, where that is a short list. */
  values: readonly string[];
}

interface Completed {
  name: string;
  summary: string;
  options: Word[];
  /** Its first operand's words, where they are a short list. */
  operands: readonly string[];
}

function completed(command: Command): Completed {
  const shapes = { ...optionShapes(command.options), ...optionShapes(common) };
  const operands = (command.operands?.match(/[\w-]+/g) ?? []).map((name) =>
    name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase()),
  );
  const options = Object.entries(shapes).filter(([name]) => !operands.includes(name));
  return {
    name: command.name,
    summary: command.summary,
    options: [
      ...options.map(([name, shape]) => ({ text: `--${kebab(name)}`, means: shape.description ?? "", values: shape.enum ?? [] })),
      { text: "--help", means: "what it does, with examples", values: [] },
    ],
    operands: shapes[operands[0] ?? ""]?.enum ?? [],
  };
}

const bins = ["almanac", "workshop-almanac"];

/** The first words of commands of two words, each with the second ones. */
function families(all: readonly Completed[]): Map<string, Completed[]> {
  const found = new Map<string, Completed[]>();
  for (const each of all) {
    const [first = ""] = each.name.split(" ");
    found.set(first, [...(found.get(first) ?? []), each]);
  }
  return found;
}

const secondWord = ({ name }: Completed): string => name.split(" ")[1] ?? "";
const inQuotes = (text: string): string => text.replaceAll("'", "'\\''");

export function completionScript(shell: "bash" | "zsh" | "fish", commands: readonly Command[]): string {
  const all = commands.map(completed);
  if (shell === "bash") return bashScript(all);
  if (shell === "zsh") return zshScript(all);
  return fishScript(all);
}

function bashScript(all: readonly Completed[]): string {
  const firsts = [...families(all)];
  const seconds = firsts
    .filter(([, members]) => members.some((each) => secondWord(each) !== ""))
    .map(([first, members]) => `    ${first}) words='${members.map(secondWord).filter(Boolean).join(" ")}' ;;`);
  const options = all.map(
    ({ name, options, operands }) =>
      `    '${name}') options='${options.map(({ text }) => text).join(" ")}'; operands='${operands.join(" ")}' ;;`,
  );
  const values = new Map(
    all.flatMap(({ name, options }) =>
      options.filter(({ values }) => values.length).map((option) => [`${name} ${option.text}`, option.values] as const),
    ),
  );
  return `# Completion of almanac for bash.
_almanac() {
  local current=\${COMP_WORDS[COMP_CWORD]} previous=\${COMP_WORDS[COMP_CWORD-1]} first=\${COMP_WORDS[1]} name words options operands
  if (( COMP_CWORD == 1 )); then
    COMPREPLY=($(compgen -W '${firsts.map(([first]) => first).join(" ")} --help --version' -- "$current"))
    return
  fi
  case $first in
${seconds.join("\n")}
  esac
  if [[ -n $words && $COMP_CWORD == 2 ]]; then
    COMPREPLY=($(compgen -W "$words --help" -- "$current"))
    return
  fi
  name=$first
  [[ -n $words ]] && name="$first \${COMP_WORDS[2]}"
  case "$name $previous" in
${[...values].map(([place, words]) => `    '${place}') COMPREPLY=($(compgen -W '${words.join(" ")}' -- "$current")); return ;;`).join("\n")}
  esac
  case $previous in --workshop|--store|--profile|--cert|--key) COMPREPLY=($(compgen -f -- "$current")); return ;; esac
  case $name in
${options.join("\n")}
  esac
  if [[ $current == -* ]]; then
    COMPREPLY=($(compgen -W "$options" -- "$current"))
  elif [[ -n $operands ]]; then
    COMPREPLY=($(compgen -W "$operands" -- "$current"))
  else
    COMPREPLY=($(compgen -f -- "$current"))
  fi
}
complete -o filenames -F _almanac ${bins.join(" ")}
`;
}

function zshScript(all: readonly Completed[]): string {
  const escaped = (text: string): string => inQuotes(text).replaceAll(/([[\]:])/g, "\\$1");
  const firsts = [...families(all)];
  const described = (words: readonly (readonly [string, string])[]): string =>
    words.map(([word, means]) => `'${word}:${escaped(means)}'`).join(" ");
  const optionsOf = ({ options, operands }: Completed): string =>
    [
      ...options.map(
        ({ text, means, values }) => `'${text}[${escaped(means)}]${values.length ? `:value:(${values.join(" ")})` : ""}'`,
      ),
      operands.length ? `'1:what:(${operands.join(" ")})'` : "'*:file:_files'",
    ].join(" ");
  const cases = firsts.map(([first, members]) => {
    const isFamily = members.some((each) => secondWord(each) !== "");
    if (!isFamily) return `    ${first}) shift words; (( CURRENT-- )); _arguments ${optionsOf(members[0]!)} ;;`;
    return `    ${first})
      if (( CURRENT == 3 )); then
        local -a seconds=(${described(members.map((each) => [secondWord(each), each.summary] as const))})
        _describe 'command' seconds
      else
        local second=$words[3]
        shift 2 words; (( CURRENT -= 2 ))
        case $second in
${members.map((each) => `          ${secondWord(each)}) _arguments ${optionsOf(each)} ;;`).join("\n")}
        esac
      fi ;;`;
  });
  return `#compdef ${bins.join(" ")}
# Completion of almanac for zsh.
_almanac() {
  if (( CURRENT == 2 )); then
    local -a firsts=(${described(firsts.map(([first, members]) => [first, members.length > 1 ? members.map(secondWord).filter(Boolean).join(", ") : members[0]!.summary] as const))})
    _describe 'command' firsts
    return
  fi
  case $words[2] in
${cases.join("\n")}
  esac
}
compdef _almanac ${bins.join(" ")}
`;
}

function fishScript(all: readonly Completed[]): string {
  const lines = ["# Completion of almanac for fish."];
  for (const bin of bins) {
    for (const [first, members] of families(all)) {
      const isFamily = members.some((each) => secondWord(each) !== "");
      const means = isFamily ? members.map(secondWord).filter(Boolean).join(", ") : members[0]!.summary;
      lines.push(`complete -c ${bin} -n __fish_use_subcommand -a '${first}' -d '${inQuotes(means)}'`);
      for (const each of members) {
        const second = secondWord(each);
        const seen =
          second === ""
            ? `__fish_seen_subcommand_from ${first}`
            : `__fish_seen_subcommand_from ${first}; and __fish_seen_subcommand_from ${second}`;
        if (second !== "")
          lines.push(
            `complete -c ${bin} -f -n '__fish_seen_subcommand_from ${first}; and not __fish_seen_subcommand_from ${members.map(secondWord).filter(Boolean).join(" ")}' -a '${second}' -d '${inQuotes(each.summary)}'`,
          );
        for (const { text, means: what, values } of each.options)
          lines.push(
            `complete -c ${bin} -n '${seen}' -l '${text.slice(2)}' -d '${inQuotes(what)}'${values.length ? ` -x -a '${values.join(" ")}'` : ""}`,
          );
        if (each.operands.length) lines.push(`complete -c ${bin} -f -n '${seen}' -a '${each.operands.join(" ")}'`);
      }
    }
  }
  return `${lines.join("\n")}\n`;
}
