// The first workshop file of a workshop: little enough to be read, with remarks that say what goes where.

export interface Start {
  name: string;
  zone: string;
  currency?: string | undefined;
  /** The profile's file, where its log is not of the house format. */
  profile?: string | undefined;
}

/** Its words as text: machines, hours and rooms are added to it on the Setup leaf or by hand. */
export const startingFile = ({ name, zone, currency, profile }: Start): string =>
  [
    "# The workshop file: what stands where, when it is open, and what wears. The dashboard's leaf Setup writes in it, and so may you:",
    "# after a change by hand, `almanac check` lists every problem in one go. What you don't know is left out; nothing is made up.",
    "workshop:",
    `  name: ${JSON.stringify(name)}`,
    `  zone: ${zone} # its clock; days begin and end by it`,
    ...(currency === undefined ? [] : [`  currency: ${currency}`]),
    ...(profile === undefined ? [] : ["", `profile: ${profile} # how its logs are read`]),
    "",
    "# Badge numbers are stored as keyed hashes unless you say `badges: kept`.",
    "privacy: {badges: hashed}",
    "",
  ].join("\n");
