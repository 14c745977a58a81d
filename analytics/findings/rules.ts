// Every rule there is; those of the contract that aren't here are not written yet.
import { enabledWhileOut } from "./enabled-while-out/rule.ts";
import { motorWithoutSession } from "./motors/motor-without-session.ts";
import { restartAfterPower } from "./motors/restart-after-power.ts";
import type { Rule } from "./rule.ts";

export const rules: readonly Rule[] = [motorWithoutSession, enabledWhileOut, restartAfterPower];
