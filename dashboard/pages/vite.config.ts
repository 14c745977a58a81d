// Builds the browser's half of the pages: hashed files and a manifest that the server reads.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vite";

export default defineConfig({
  root: fileURLToPath(new URL(".", import.meta.url)),
  base: "/built/",
  publicDir: "public",
  build: {
    outDir: fileURLToPath(new URL("../../dist/dashboard/pages-built", import.meta.url)),
    emptyOutDir: true,
    manifest: "manifest.json",
    target: "es2023",
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    rolldownOptions: { checks: { pluginTimings: false }, input: { page: fileURLToPath(new URL("main.tsx", import.meta.url)) } },
  },
});
