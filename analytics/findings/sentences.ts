// Words that the sentences of evidence share.

/** `40 s`, `12 minutes`, `2 h 05 min`. */
export function minutesText(minutes: number): string {
  if (minutes < 1.5) return `${Math.round(minutes * 60)} s`;
  const whole = Math.round(minutes);
  if (whole < 120) return `${whole} minutes`;
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, "0")} min`;
}

/** `a`, `a and b`, `a, b and c`; beyond `most` the rest is counted. */
export function listText(words: readonly string[], most = 4): string {
  if (words.length > most) return `${words.slice(0, most).join(", ")} and ${words.length - most} more`;
  return words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}
