// The rules that judge by chance: what is far beyond a norm, a rate or a rhythm.
import { addressSlip } from "./address-slip/rule.ts";
import { chatter } from "./chatter/rule.ts";
import { leftIn } from "./left-in/rule.ts";
import { longSession } from "./long-session/rule.ts";
import { missingEnd } from "./missing-end/rule.ts";
import { offTrendUse } from "./off-trend-use/rule.ts";
import { refusalRun } from "./refusal-run/rule.ts";
import type { Rule } from "./rule.ts";
import { silentStation } from "./silent-station/rule.ts";

export const rulesOfChance: readonly Rule[] = [
  longSession,
  leftIn,
  silentStation,
  addressSlip,
  missingEnd,
  chatter,
  refusalRun,
  offTrendUse,
];
