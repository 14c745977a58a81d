// The week by role: as text and HTML, to files, and by mail exactly once a week.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { composed } from "../../dashboard/digest/compose.ts";
import { mondayOf } from "../../dashboard/digest/parts.ts";
import { type Bench, openBench, workshopText } from "../service/shop.ts";
import { type MailServer, mailServer as startMailServer } from "../support/mail-server.ts";

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function mailServer(refusals = 0): Promise<MailServer> {
  const server = await startMailServer(refusals);
  closers.push(server.close);
  return server;
}

async function shop(watch = ""): Promise<Bench> {
  const bench = await openBench(`${workshopText}${watch}`);
  closers.push(() => bench.close());
  return bench;
}

describe("almanac digest", () => {
  it("tells each role its own, with cautions where tasks are shown, and no member or badge", async () => {
    const bench = await shop();
    await bench.run("outage add", { machine: "lathe", reason: "chuck is loose", by: "Ada Wren" });
    await bench.run("note add", { machine: "planer", text: "leaves ridges", by: "Ben Tern" });
    const { week, digests } = await bench.run("digest", { asOf: "now" });
    expect(week).toMatch(/^\d{4}-\d\d-\d\d$/);
    expect(digests.map(({ role }: { role: string }) => role)).toEqual(["maintenance", "board", "safety", "steward"]);
    const [maintenance, board] = digests;
    expect(maintenance.text).toContain("Planer, knives: sharpen");
    expect(maintenance.text).toContain("lock out its energy source at the isolator");
    expect(maintenance.text).toContain("chuck is loose");
    expect(maintenance.text).toContain("A tag is a note and no lock-out.");
    expect(maintenance.html).toContain("<li>planer: leaves ridges</li>");
    expect(board.text).not.toContain("knives");
    for (const { text, html } of digests) {
      expect(text + html).not.toMatch(/Ada|Wren|Tern\b(?! Lane)|undefined|\[object|NaN|\bsafe\b|\boff\b/);
      // Members of this shop have the badges 7 and 8.
      expect(text).not.toMatch(/badge (7|8)\b/);
    }
  });

  it("writes a text and an HTML file for each role", async () => {
    const bench = await shop();
    const { week, files } = await bench.run("digest", { out: "weekly", role: "steward" });
    expect(files).toEqual([
      join(bench.dir, `weekly/digest-${week}-steward.txt`),
      join(bench.dir, `weekly/digest-${week}-steward.html`),
    ]);
    expect(readFileSync(files[0], "utf8")).toContain("THE LOG");
    expect(readFileSync(files[1], "utf8")).toMatch(/^<!doctype html>/);
  });

  it("goes to each address once a week, again the week after, and again after the mail server said no", async () => {
    const { url, mails } = await mailServer(1);
    const bench = await shop(
      `watch: {mail: {smtp: "${url}", to: all@example.org, digest: {maintenance: [bench@example.org, shed@example.org], steward: stew@example.org}}}\n`,
    );
    await expect(bench.run("digest", { send: true })).rejects.toThrow(/nobody of that name/);
    expect(mails).toHaveLength(0);
    const first = await bench.run("digest", { send: true });
    expect(first.sent).toEqual([
      { role: "maintenance", to: "bench@example.org", isNew: true },
      { role: "maintenance", to: "shed@example.org", isNew: true },
      { role: "steward", to: "stew@example.org", isNew: true },
    ]);
    expect(mails).toHaveLength(3);
    expect(mails[0]).toMatch(/^To: bench@example\.org\r$/m);
    expect(mails[0]).toContain("multipart/alternative");
    const again = await bench.run("digest", { send: true });
    expect(again.sent.every(({ isNew }: { isNew: boolean }) => !isNew)).toBe(true);
    expect(mails).toHaveLength(3);
    await bench.run("digest", { send: true, role: "steward", asOf: "2026-11-01" });
    expect(mails).toHaveLength(4);
  });

  it("without addresses by role gives the one address the maintainers' alone, and says what is missing", async () => {
    const { url, mails } = await mailServer();
    const bench = await shop(`watch: {mail: {smtp: "${url}", to: all@example.org}}\n`);
    const { sent } = await bench.run("digest", { send: true });
    expect(sent).toEqual([{ role: "maintenance", to: "all@example.org", isNew: true }]);
    expect(mails).toHaveLength(1);
    await expect(bench.run("digest", { send: true, role: "board" })).rejects.toThrow(/watch\.mail\.digest/);
    writeFileSync(join(bench.dir, "workshop.yaml"), workshopText);
    await expect(bench.run("digest", { send: true })).rejects.toThrow(/watch\.mail/);
  });
});

describe("a digest's forms", () => {
  it("say the same, and let nothing typed become markup", () => {
    const { text, html, subject } = composed({
      role: "maintenance",
      workshop: "Tern & Lane",
      week: "2026-11-23",
      today: "2026-11-25",
      parts: [
        { title: "Said", lines: ["<script>alert(1)</script> & 'more'"], nothing: "Nothing." },
        { title: "Due", lines: [], nothing: "Nothing is due.", cautions: ["Isolate first."] },
      ],
    });
    expect(subject).toBe("Tern & Lane: the week of 2026-11-23, for maintenance");
    expect(text).toContain("- <script>alert(1)</script>");
    expect(html).not.toContain("<script>");
    expect(html).toContain("&lt;script&gt;");
    expect(html).toContain("<p>Nothing is due.</p>");
    expect(text).not.toContain("Isolate first.");
  });

  it("is of the week that begins on Monday", () => {
    expect(["2026-11-23", "2026-11-25", "2026-11-29", "2026-11-30", "2027-01-01"].map(mondayOf)).toEqual([
      "2026-11-23",
      "2026-11-23",
      "2026-11-23",
      "2026-11-30",
      "2026-12-28",
    ]);
  });
});
