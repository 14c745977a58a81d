// Every rule there is; those of the contract that aren't here are not written yet.
import { enabledWhileOut } from "./enabled-while-out/rule.ts";
import type { Rule } from "./rule.ts";

export const rules: readonly Rule[] = [enabledWhileOut];
