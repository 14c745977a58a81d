// Names of the cookies. Both are http-only, SameSite=Strict, and Secure wherever TLS is spoken.

/** A browser that is signed in. */
export const visitCookie = "almanac-visit";
/** An enrolled phone. */
export const benchCookie = "almanac-bench";
