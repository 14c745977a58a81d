// How long to wait after failed tries. Pure: counts and instants in, milliseconds out.

export interface Patience {
  /** Tries that cost no wait. */
  free: number;
  firstWaitMs: number;
  longestWaitMs: number;
  /** After so long without a failed try all is forgotten. */
  forgetMs: number;
}

const second = 1_000;
const minute = 60 * second;

/** Of one account: someone guesses one person's password. */
export const accountPatience: Patience = {
  free: 5,
  firstWaitMs: 2 * second,
  longestWaitMs: 15 * minute,
  forgetMs: 24 * 60 * minute,
};
/** Of one address: someone tries one password on many accounts. A workshop shares one address, hence more. */
export const addressPatience: Patience = {
  free: 20,
  firstWaitMs: 2 * second,
  longestWaitMs: 15 * minute,
  forgetMs: 24 * 60 * minute,
};

export interface Tries {
  failed: number;
  lastAt: Date;
}

/** Failed tries that still count. */
export const failedNow = (tries: Tries | null, patience: Patience, now: Date): number =>
  tries && now.getTime() - tries.lastAt.getTime() < patience.forgetMs ? tries.failed : 0;

/** How long from `now` until the next try is looked at; 0 where at once. Doubles with every failed try beyond the free ones. */
export function waitMs(tries: Tries | null, patience: Patience, now: Date): number {
  const beyond = failedNow(tries, patience, now) - patience.free;
  if (!tries || beyond < 0) return 0;
  const wait = Math.min(patience.firstWaitMs * 2 ** beyond, patience.longestWaitMs);
  return Math.max(0, tries.lastAt.getTime() + wait - now.getTime());
}

/** Whose tries an address's are: an IPv6 household has a whole /64 of them. */
export function placeOfAddress(address: string): string {
  const plain = address.replace(/^::ffff:(?=\d+\.)/i, "").replace(/%.*$/, "");
  if (!plain.includes(":")) return plain;
  const [head = "", tail] = plain.toLowerCase().split("::");
  const front = head === "" ? [] : head.split(":");
  const back = tail === undefined || tail === "" ? [] : tail.split(":");
  const groups =
    tail === undefined ? front : [...front, ...Array<string>(Math.max(0, 8 - front.length - back.length)).fill("0"), ...back];
  return `${groups
    .slice(0, 4)
    .map((group) => group.replace(/^0+(?=.)/, ""))
    .join(":")}::/64`;
}
