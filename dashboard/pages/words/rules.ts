// The rules of findings in a reader's words.

export const ruleNames: Record<string, string> = {
  "alone-closed": "Alone in closed hours",
  "alone-hazard": "Alone on a machine nobody should be alone on",
  "closed-use": "Use in closed hours",
  "long-session": "Far longer than usual",
  "left-in": "Badge left in",
  "not-authorised": "Without a valid authorisation",
  "badge-twice": "One badge at two stations",
  "refusal-run": "Refused again and again",
  "unlisted-badge": "Badge that the roster doesn't know",
  "unlisted-station": "Station that no machine claims",
  "silent-station": "Station not heard",
  "address-slip": "Address slipped by a jumper",
  "address-clash": "Two stations on one address",
  "clock-jump": "The server's clock was wrong",
  "missing-end": "Ends that went missing",
  chatter: "Contact that bounces",
  "settings-change": "Settings changed",
  "off-trend-use": "Use off its trend",
  "motor-without-session": "Motor without a session",
  "enabled-while-out": "Enabled while tagged out",
  "restart-after-power": "Motor on by itself after power came back",
};

export const ruleName = (rule: string): string => ruleNames[rule] ?? rule;

/** `22:10`; 24 is the midnight that ends the day. */
export function clockWords(hours: number): string {
  const minutes = Math.floor(hours * 60 + 1e-6);
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}

/** `40 min`, `5 h 20 min`, `2 days 3 h`. */
export function lengthWords(minutes: number): string {
  const whole = Math.round(minutes);
  if (whole < 1) return "under a minute";
  if (whole < 60) return `${whole} min`;
  if (whole < 48 * 60) return whole % 60 === 0 ? `${whole / 60} h` : `${Math.floor(whole / 60)} h ${whole % 60} min`;
  return `${Math.floor(whole / 1440)} days ${Math.floor((whole % 1440) / 60)} h`;
}
