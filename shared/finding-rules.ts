// The names of the rules, apart from what a workshop may switch: whoever only lists them needs no schema.

/** Every rule of `findings`, in the order of the contract. */
export const FINDING_RULES = [
  "alone-closed",
  "alone-hazard",
  "closed-use",
  "long-session",
  "left-in",
  "not-authorised",
  "badge-twice",
  "refusal-run",
  "unlisted-badge",
  "unlisted-station",
  "silent-station",
  "address-slip",
  "address-clash",
  "clock-jump",
  "missing-end",
  "chatter",
  "settings-change",
  "off-trend-use",
  "motor-without-session",
  "enabled-while-out",
  "restart-after-power",
] as const;
export type FindingRule = (typeof FINDING_RULES)[number];
