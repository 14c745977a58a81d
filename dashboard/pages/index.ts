// The pages: leaves that answers become, the sheet around them, and the document they travel in. The server's door; the browser's
// is main.tsx. Knows no database and no server: everything is asked for through an Asker. Start reading at leaves/leaf.ts.
export type { Ask, Asker, Sum } from "./ask/ask.ts";
export { NotAnswered, Refused } from "./ask/ask.ts";
export { documentOf, troubleDocument } from "./frame/document.tsx";
export { type Asked, loadPage, type PageData } from "./frame/page.ts";
export { localeFromAccept } from "./words/reader.ts";
