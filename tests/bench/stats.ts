// How fast are the fits? Writes tests/bench-stats.md. Run: npm run bench:stats; R's survreg stands beside it where R is present.
import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { cpus } from "node:os";
import {
  adviseLife,
  fitLognormal,
  fitWeibull,
  type PartLife,
  posteriorLife,
  posteriorMembers,
  priorFor,
} from "../../analytics/stats/index.ts";
import { drawLife, seeded } from "../stats/random.ts";

const random = seeded(50);
const sets = Array.from({ length: 500 }, () => ({
  time: Array.from({ length: 50 }, () => drawLife(2, 100, random)),
  status: Array.from({ length: 50 }, (_, i) => (i % 5 === 0 ? 0 : 1)),
}));
const few: PartLife[][] = sets
  .slice(0, 40)
  .map(({ time }) => [
    ...time.slice(0, 5).map((age, i): PartLife => ({ age, end: i % 2 === 0 ? "failed" : "worn" })),
    { age: 12, end: "in-use" },
  ]);
const prior = priorFor("saw-blade");

/** Seconds of processor time, the best of several rounds: other work on the machine only ever adds. */
function best(rounds: number, work: () => void): number {
  let least = Number.POSITIVE_INFINITY;
  for (let round = 0; round < rounds; round++) {
    const from = process.cpuUsage();
    work();
    const { user, system } = process.cpuUsage(from);
    least = Math.min(least, (user + system) / 1e6);
  }
  return least;
}

const perSecond = (count: number, seconds: number): string => Math.round(count / seconds).toLocaleString("en");
const milliseconds = (seconds: number): string => `${Math.round(1000 * seconds)} ms`;

const weibull = best(15, () => {
  for (const lives of sets) fitWeibull(lives);
});
const lognormal = best(8, () => {
  for (const lives of sets) fitLognormal(lives);
});
const inspected = sets
  .slice(0, 100)
  .map(({ time }) => ({ lower: time.map((t) => 20 * Math.floor(t / 20)), upper: time.map((t) => 20 * Math.floor(t / 20) + 20) }));
const intervals = best(8, () => {
  for (const lives of inspected) fitWeibull(lives);
});
const posteriors = best(8, () => {
  for (const lives of few)
    posteriorLife({ time: lives.map(({ age }) => age), status: lives.map(({ end }) => (end === "in-use" ? 0 : 1)) }, prior);
});
const advice = best(4, () => {
  for (const lives of few) adviseLife(lives, prior, { costPlanned: 50, costFailure: 200, setHours: 60 });
});
const group = best(4, () => {
  posteriorMembers(
    sets
      .slice(0, 5)
      .map(({ time, status }, i) => ({ name: `${i}`, lives: { time: time.slice(0, 8), status: status.slice(0, 8) } })),
    prior,
  );
});

/** R's survreg on the same lives, by its own clock; null without R. */
function survreg(): { fits: string; version: string } | null {
  const script = `suppressPackageStartupMessages(library(survival))
    x <- scan(file("stdin"), quiet = TRUE); m <- matrix(x, nrow = 50); s <- rep(c(0, 1, 1, 1, 1), 10)
    best <- Inf
    for (round in 1:3) best <- min(best, sum(system.time(for (j in 1:100) survreg(Surv(m[, j], s) ~ 1))[1:2]))
    cat(100 / best, R.version$major, R.version$minor, as.character(packageVersion("survival")))`;
  const input = sets
    .slice(0, 100)
    .map(({ time }) => time.join(" "))
    .join("\n");
  const run = spawnSync("Rscript", ["-e", script], { input, encoding: "utf8" });
  if (run.error || run.status !== 0) return null;
  const [fits, major, minor, version] = run.stdout.trim().split(/\s+/);
  return { fits: Math.round(Number(fits)).toLocaleString("en"), version: `R ${major}.${minor}, survival ${version}` };
}
const theirs = survreg();

const text = `# Speed of the statistics

Written by \`npm run bench:stats\` (tests/bench/stats.ts) on ${new Date().toISOString().slice(0, 10)}, Node ${process.version}, ${cpus()[0]?.model.trim() || "unnamed processor"},
one core, processor time, the best of several rounds.

| work | result | wanted |
|---|---|---|
| Weibull fits of 50 lives, 10 of them censored | ${perSecond(sets.length, weibull)} a second | 10,000 |
| lognormal fits of the same | ${perSecond(sets.length, lognormal)} a second | |
| Weibull fits of 50 inspections | ${perSecond(inspected.length, intervals)} a second | |
| 40 posterior lives of 6 | ${milliseconds(posteriors)} | 300 ms |
| 40 times the whole advice, two ways to end | ${milliseconds(advice)} | |
| one group of 5 members, 8 lives each | ${milliseconds(group)} | |
| survreg on the same 50 lives (${theirs?.version ?? "no R here"}) | ${theirs ? `${theirs.fits} a second` : "–"} | |
`;
writeFileSync(new URL("../bench-stats.md", import.meta.url), text);
console.log(text);
