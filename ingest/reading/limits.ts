// How much of one thing is believed before it is called a fault.

/** A line beyond this is rejected with its beginning, its length and its hash. */
export const LONGEST_LINE_BYTES = 1 << 20;

/** How much of a line too long is kept. */
export const KEPT_OF_LONG_LINE = 64 << 10;

/** A quoted field may span physical lines up to this many characters. */
export const LONGEST_QUOTED_RECORD = 64 << 10;

/** A quoted field of more physical lines than this is a quote that nobody closed. */
export const MOST_LINES_OF_RECORD = 2000;
