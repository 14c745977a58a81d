import { defineConfig } from "vitest/config";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  cacheDir: "/tmp/almanac-vitest",
  test: {
    include: ["tests/**/*.test.ts"],
    expect: { requireAssertions: true },
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 120_000,
    env: { TZ: process.env.TZ ?? "Asia/Kathmandu" },
  },
});
