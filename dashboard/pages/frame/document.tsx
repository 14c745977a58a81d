// The whole document as the server sends it: the page with its numbers, its data for the browser, and no inline script or style.
import { render } from "preact-render-to-string";
import { Frame, programName, titleOf } from "./frame.tsx";
import type { PageData } from "./page.ts";

export interface Built {
  script: string;
  styles: readonly string[];
  /** Scripts that will be wanted soon. */
  preload: readonly string[];
  icon: string;
}

export const dataId = "page-data";
export const rootId = "page";

export function documentOf(page: PageData, built: Built): string {
  const html = render(
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        <title>{titleOf(page)}</title>
        <link rel="icon" href={built.icon} type="image/svg+xml" />
        {built.styles.map((href) => (
          <link rel="stylesheet" href={href} key={href} />
        ))}
        {built.preload.map((href) => (
          <link rel="modulepreload" href={href} key={href} />
        ))}
        <script type="module" src={built.script} />
      </head>
      <body>
        <div id={rootId}>
          <Frame page={page} live={{ revision: 0, isHeard: true }} isOnItsWay={false} problem={null} />
        </div>
        <script type="application/json" id={dataId} dangerouslySetInnerHTML={{ __html: jsonForHtml(page) }} />
      </body>
    </html>,
  );
  return `<!doctype html>${html}`;
}

/** JSON that can't end the element it stands in, nor open a comment. */
export const jsonForHtml = (value: unknown): string => JSON.stringify(value).replaceAll("<", "\\u003c");

/** What is sent when the almanac itself can't be read: one sentence, and what to do. */
export function troubleDocument(sentence: string, built: Built): string {
  const html = render(
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>{programName}</title>
        <link rel="icon" href={built.icon} type="image/svg+xml" />
        {built.styles.map((href) => (
          <link rel="stylesheet" href={href} key={href} />
        ))}
      </head>
      <body>
        <div class="sheet">
          <main>
            <h1>The almanac can't be read now</h1>
            <p class="lead problem">{sentence}</p>
            <p>
              Where the workshop file is at fault, <code>almanac check</code> names every problem with its line. Mend it and load
              this page again.
            </p>
          </main>
        </div>
      </body>
    </html>,
  );
  return `<!doctype html>${html}`;
}
