// Where the browser's half of the pages lies, and what its files are called: Vite's manifest says.
import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { FailedError } from "../../shared/errors.ts";
import type { Built } from "../pages/frame/document.tsx";

interface ManifestEntry {
  file: string;
  css?: string[];
  imports?: string[];
  dynamicImports?: string[];
  isEntry?: boolean;
}

/** Beside the built program, or in dist/ where the program runs from its source. */
const places = ["../pages-built", "../../dist/dashboard/pages-built"];

export const builtAddress = "/built/";

export interface BuiltPages extends Built {
  folder: string;
}

/** Throws FailedError where the pages have not been built. */
export function builtPages(): BuiltPages {
  const manifests = places.map((place) => fileURLToPath(new URL(`${place}/manifest.json`, import.meta.url)));
  const manifest = manifests.find((path) => existsSync(path));
  if (!manifest)
    throw new FailedError({ field: "pages", value: manifests[0], expected: "built pages; npm run build makes them" });
  const files = JSON.parse(readFileSync(manifest, "utf8")) as Record<string, ManifestEntry>;
  const entry = Object.values(files).find(({ isEntry }) => isEntry);
  if (!entry)
    throw new FailedError({ field: "pages", value: manifest, expected: "a manifest with an entry; npm run build makes it" });
  return {
    folder: dirname(manifest),
    script: join(builtAddress, entry.file),
    styles: (entry.css ?? []).map((file) => join(builtAddress, file)),
    preload: (entry.dynamicImports ?? []).flatMap((name) => (files[name] ? [join(builtAddress, files[name].file)] : [])),
    icon: `${builtAddress}icon.svg`,
  };
}
