// Every rule there is; those of the contract that aren't here are not written yet.
import { addressClash } from "./address-clash/rule.ts";
import { aloneClosed } from "./alone/alone-closed.ts";
import { aloneHazard } from "./alone/alone-hazard.ts";
import { closedUse } from "./alone/closed-use.ts";
import { badgeTwice } from "./badge-twice/rule.ts";
import { clockJump } from "./clock-jump/rule.ts";
import { enabledWhileOut } from "./enabled-while-out/rule.ts";
import { motorWithoutSession } from "./motors/motor-without-session.ts";
import { restartAfterPower } from "./motors/restart-after-power.ts";
import { notAuthorised } from "./not-authorised/rule.ts";
import type { Rule } from "./rule.ts";
import { rulesOfChance } from "./rules-of-chance.ts";
import { settingsChange } from "./settings-change/rule.ts";
import { unlistedBadge } from "./unlisted-badge/rule.ts";
import { unlistedStation } from "./unlisted-station/rule.ts";

export const rules: readonly Rule[] = [
  aloneClosed,
  aloneHazard,
  closedUse,
  ...rulesOfChance,
  notAuthorised,
  badgeTwice,
  unlistedBadge,
  unlistedStation,
  addressClash,
  clockJump,
  settingsChange,
  motorWithoutSession,
  enabledWhileOut,
  restartAfterPower,
];

/** Hardware in earnest: looked at after each delivery of lines. */
export const urgentRules = rules.filter(({ isUrgent }) => isUrgent === true).map(({ name }) => name);
