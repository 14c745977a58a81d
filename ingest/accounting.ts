// What a reading did: every line it read is stored, a duplicate, ignored by the profile, blank or rejected, and the five add up.

export interface Account {
  /** As the caller named it. */
  file: string;
  lines: number;
  stored: number;
  duplicates: number;
  ignored: number;
  blank: number;
  rejected: number;
  /** Part of `stored`. */
  repaired: number;
  /** What the new lines can affect; null where there is nothing new. */
  touched: Touched | null;
}

export interface Touched {
  stations: string[];
  from: Date;
  until: Date;
}

/** The smallest that holds both. */
export function touchedByBoth(one: Touched | null, other: Touched | null): Touched | null {
  if (one === null || other === null) return one ?? other;
  return {
    stations: [...new Set([...one.stations, ...other.stations])].sort(),
    from: one.from < other.from ? one.from : other.from,
    until: one.until > other.until ? one.until : other.until,
  };
}
