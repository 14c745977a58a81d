// What a person sees beside a method: its name in plain words, its formula and where that comes from.

/** Words about one method of `calc`; kept in the file of the function they are about. */
export interface MethodNote {
  /** One line of help, as `calc` lists it. */
  help: string;
  /** Heading for the page, e.g. "Weibull life from hours run". */
  title: string;
  /** One or two sentences for a volunteer who never had statistics. */
  plain: string;
  /** The formula as text. */
  formula: string;
  /** Author, title, section; "from memory" where it was not read. */
  source: string;
  /** An input that gives an answer, to start from. */
  example: Record<string, unknown>;
}

/** Goes with everything that is learned from lives. */
export const fitCaution =
  "A fit never replaces the maker's manual or an inspection: found dull, cracked or badly set, a part comes out now, whatever the hours say.";
