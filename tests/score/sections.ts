// The score page as sections under their headings, so that one can be made anew and the others stay.

interface Section {
  title: string;
  text: string;
}

function sectionsOf(page: string): { head: string; sections: Section[] } {
  const [head = "", ...parts] = page.split(/^## /m);
  return {
    head: head.trimEnd(),
    sections: parts.map((part) => {
      const end = part.indexOf("\n");
      return { title: part.slice(0, end).trim(), text: part.slice(end).trim() };
    }),
  };
}

const pageOf = (head: string, sections: readonly Section[]): string =>
  `${[head, ...sections.map(({ title, text }) => `## ${title}\n\n${text}`)].join("\n\n")}\n`;

/** The page with this section in place of the old one of that title, or at its end. */
export function withSection(page: string, title: string, text: string): string {
  const { head, sections } = sectionsOf(page);
  const has = sections.some((section) => section.title === title);
  const made = { title, text: text.trim() };
  return pageOf(head, has ? sections.map((section) => (section.title === title ? made : section)) : [...sections, made]);
}

/** The new page, and behind it those sections of the old one that it doesn't have. */
export function withKeptSections(made: string, old: string): string {
  const { head, sections } = sectionsOf(made);
  const titles = new Set(sections.map(({ title }) => title));
  return pageOf(head, [...sections, ...sectionsOf(old).sections.filter(({ title }) => !titles.has(title))]);
}
