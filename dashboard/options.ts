// Options as typed or sent, held against their schema.
import type { z } from "zod";
import { UsageError } from "../shared/errors.ts";

export const kebab = (name: string): string => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);

/** Typed or sent options against a schema; the first one that won't do is told. Unknown names are refused. */
export function optionsFrom<Schema extends z.ZodObject>(schema: Schema, given: Record<string, unknown>): z.infer<Schema> {
  const parsed = schema.strict().safeParse(given);
  if (parsed.success) return parsed.data as z.infer<Schema>;
  const issue = parsed.error.issues[0]!;
  if (issue.code === "unrecognized_keys") {
    const known = Object.keys(schema.shape).map(kebab).join(", ");
    throw new UsageError({
      field: kebab(issue.keys[0] ?? ""),
      value: given[issue.keys[0] ?? ""] ?? null,
      expected: `a known option (${known})`,
    });
  }
  const name = String(issue.path[0] ?? "");
  const value = issue.path.reduce<unknown>((at, key) => (at as Record<PropertyKey, unknown> | undefined)?.[key], given) ?? null;
  throw new UsageError({ field: kebab(name), value, expected: expectedFromIssue(issue) });
}

const wordsOfType: Record<string, string> = {
  string: "a word",
  number: "a number",
  array: "one or more words",
  boolean: "true or false",
};

function expectedFromIssue(issue: z.core.$ZodIssue): string {
  if (issue.code === "invalid_value") return `one of ${issue.values.join(", ")}`;
  if (issue.code === "invalid_type") return `${wordsOfType[issue.expected] ?? issue.expected}; it is needed here`;
  if (issue.code === "too_small") return `${issue.inclusive ? "at least" : "more than"} ${issue.minimum}`;
  if (issue.code === "too_big") return `${issue.inclusive ? "at most" : "less than"} ${issue.maximum}`;
  return issue.message;
}
