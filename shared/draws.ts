// Joint worlds: every unseen end is drawn DRAWS times, draw k of all of them belonging to one world, so that a total's range
// is the spread of its sums over the worlds.

/** How many joint worlds stand behind every simulated range. */
export const DRAWS = 100;
