// The frame of the small pages at the door: plain HTML from the server, forms without script.
import type { Response } from "express";
import { type ComponentChildren, h, type JSX } from "preact";
import { render } from "preact-render-to-string";
import { builtPages } from "../../server/pages-built.ts";

export interface Page {
  title: string;
  /** What went wrong with what was typed. */
  complaint?: string | undefined;
  /** What was done. */
  note?: string | undefined;
  body: ComponentChildren;
}

export function sendPage(response: Response, page: Page, status = 200): void {
  response
    .status(status)
    .set("cache-control", "no-store")
    .type("html")
    .send(`<!doctype html>\n${render(frame(page))}`);
}

let styles: readonly string[] | null = null;

/** The leaves' own styles go first, for their typeface and colours. */
function leafStyles(): readonly string[] {
  styles ??= builtPages().styles;
  return styles;
}

const frame = ({ title, complaint, note, body }: Page): JSX.Element =>
  h(
    "html",
    { lang: "en" },
    h(
      "head",
      null,
      h("meta", { charset: "utf-8" }),
      h("meta", { name: "viewport", content: "width=device-width, initial-scale=1" }),
      h("title", null, `${complaint ? "Not done: " : ""}${title} · Workshop Almanac`),
      h("link", { rel: "icon", href: "data:," }),
      ...leafStyles().map((href) => h("link", { rel: "stylesheet", href })),
      h("link", { rel: "stylesheet", href: "/access.css" }),
    ),
    h(
      "body",
      { "data-ready": "" },
      h("header", null, h("a", { href: "/" }, "Workshop Almanac")),
      h(
        "main",
        null,
        h("h1", null, title),
        complaint && h("p", { id: "complaint", class: "complaint", role: "alert" }, complaint),
        note && h("p", { class: "note", role: "status" }, note),
        body,
      ),
    ),
  );

export interface FieldSettings {
  name: string;
  label: string;
  type?: "text" | "password";
  autocomplete: string;
  hint?: string;
  value?: string;
  code?: boolean;
  isWrong?: boolean;
}

/** A labelled field; its hint and the page's complaint belong to it for those who listen to the page. */
export function field({ name, label, type = "text", autocomplete, hint, value, code, isWrong }: FieldSettings): JSX.Element {
  const described = [hint ? `${name}-hint` : "", isWrong ? "complaint" : ""].filter(Boolean).join(" ");
  return h(
    "div",
    { class: "field" },
    h("label", { for: name }, label),
    hint && h("p", { id: `${name}-hint`, class: "hint" }, hint),
    h("input", {
      id: name,
      name,
      type,
      autocomplete,
      required: true,
      value,
      autocapitalize: "none",
      spellcheck: false,
      ...(code ? { inputmode: "text" } : {}),
      ...(described ? { "aria-describedby": described } : {}),
      ...(isWrong ? { "aria-invalid": "true" } : {}),
    }),
  );
}

export const hidden = (name: string, value: string): JSX.Element => h("input", { type: "hidden", name, value });

export const form = (action: string, button: string, ...inside: ComponentChildren[]): JSX.Element =>
  h("form", { method: "post", action }, ...inside, h("button", { type: "submit" }, button));
