// Waiting for a machine: Erlang's formulas, M/M/c and M/G/1.
import { ensure, ensureNotNegative, ensurePositive, ensureShare, ensureWhole } from "./checks.ts";
import type { MethodNote } from "./method-note.ts";

// One multiplication per server: more than this is a mistake or an attack.
const mostServers = 1_000_000;

function ensureServers(servers: number, load: number): void {
  ensureWhole("servers", servers, 1);
  ensure(servers <= mostServers, "servers", servers, `at most ${mostServers}`);
  ensureNotNegative("load", load);
}

/**
 * Share of arrivals turned away where nobody waits: c servers, load = arrival rate × mean time, in erlangs.
 * Erlang 1917, by the recursion B(c) = A·B(c−1)/(c + A·B(c−1)) (Jagerman 1974, BSTJ 53). Throws unless servers is a whole
 * number from 1 and load 0 or more.
 */
export function erlangB(servers: number, load: number): number {
  ensureServers(servers, load);
  let blocked = 1;
  for (let c = 1; c <= servers; c++) blocked = (load * blocked) / (c + load * blocked);
  return blocked;
}

/** Share of arrivals that has to wait where all wait; 1 at a load of as many servers or more. Erlang 1917. */
export function erlangC(servers: number, load: number): number {
  ensureServers(servers, load);
  if (load >= servers) return 1;
  const blocked = erlangB(servers, load);
  return (servers * blocked) / (servers - load * (1 - blocked));
}

/** The load at which Erlang B gives the share `blocked` (0–1), by bisection. */
export function erlangBLoad(servers: number, blocked: number): number {
  ensureShare("blocked", blocked);
  let [low, high] = [0, 1];
  while (erlangB(servers, high) < blocked) high *= 2;
  for (let step = 0; step < 200; step++) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) break;
    if (erlangB(servers, middle) < blocked) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Long-run figures of a queue; times in the unit whose inverse the rates have. */
export interface Queue {
  utilisation: number;
  pWait: number;
  queueLength: number;
  wait: number;
  timeInSystem: number;
  inSystem: number;
  pEmpty: number;
}

function ensureSteady(utilisation: number, field: string, value: number): void {
  ensure(
    utilisation < 1,
    field,
    value,
    `a rate that keeps utilisation below 1 (it is ${utilisation}): the queue would grow for ever`,
  );
}

/** M/M/c. Throws a UsageError for rates not above 0 or utilisation of 1 or more. Hillier & Lieberman, queueing theory. */
export function queueMany({
  arrivalRate,
  serviceRate,
  servers,
}: {
  arrivalRate: number;
  serviceRate: number;
  servers: number;
}): Queue {
  ensurePositive("arrivalRate", arrivalRate);
  ensurePositive("serviceRate", serviceRate);
  const load = arrivalRate / serviceRate;
  ensureServers(servers, load);
  const utilisation = load / servers;
  ensureSteady(utilisation, "arrivalRate", arrivalRate);
  const pWait = erlangC(servers, load);
  const wait = pWait / (servers * serviceRate - arrivalRate);
  const timeInSystem = wait + 1 / serviceRate;
  return {
    utilisation,
    pWait,
    queueLength: arrivalRate * wait,
    wait,
    timeInSystem,
    inSystem: arrivalRate * timeInSystem,
    pEmpty: emptyShare(servers, load),
  };
}

/** 1/(Σ_{n<c} Aⁿ/n! + Aᶜ/c!·c/(c − A)), summed from the largest term so that it can't overflow. */
function emptyShare(servers: number, load: number): number {
  let log = 0;
  const logs = [0];
  for (let n = 1; n <= servers; n++) {
    log += Math.log(load / n);
    logs.push(n < servers ? log : log + Math.log(servers / (servers - load)));
  }
  const top = logs.reduce((most, one) => Math.max(most, one), 0);
  return Math.exp(-top) / logs.reduce((sum, one) => sum + Math.exp(one - top), 0);
}

/** Share that waits longer than `time` in M/M/c: pWait·exp(−(cμ − λ)·time). Errors as for `queueMany`. */
export function waitBeyond(time: number, queue: { arrivalRate: number; serviceRate: number; servers: number }): number {
  ensureNotNegative("time", time);
  return queueMany(queue).pWait * Math.exp(-(queue.servers * queue.serviceRate - queue.arrivalRate) * time);
}

/**
 * M/G/1 from mean and standard deviation of the service time (Pollaczek–Khinchine); serviceSd 0 is M/D/1.
 * Throws a UsageError for a rate or mean not above 0, an sd below 0, utilisation of 1 or more.
 */
export function queueOne({
  arrivalRate,
  serviceMean,
  serviceSd,
}: {
  arrivalRate: number;
  serviceMean: number;
  serviceSd: number;
}): Queue {
  ensurePositive("arrivalRate", arrivalRate);
  ensurePositive("serviceMean", serviceMean);
  ensureNotNegative("serviceSd", serviceSd);
  const utilisation = arrivalRate * serviceMean;
  ensureSteady(utilisation, "arrivalRate", arrivalRate);
  const wait = (arrivalRate * (serviceMean ** 2 + serviceSd ** 2)) / (2 * (1 - utilisation));
  const timeInSystem = wait + serviceMean;
  return {
    utilisation,
    pWait: utilisation,
    queueLength: arrivalRate * wait,
    wait,
    timeInSystem,
    inSystem: arrivalRate * timeInSystem,
    pEmpty: 1 - utilisation,
  };
}

const unsteady = "It holds for arrivals at random at a steady rate; an evening with a rush is worse than its average.";

export const erlangBNote: MethodNote = {
  help: "share turned away where nobody waits (Erlang B)",
  title: "How many find every machine taken?",
  plain: `The share of people who find all machines of a kind taken, if nobody waits. ${unsteady}`,
  formula: "B(c) = A·B(c−1) / (c + A·B(c−1)), B(0) = 1",
  source: "Erlang 1917; Jagerman 1974, Bell System Technical Journal 53",
  example: { servers: 2, load: 1 },
};

export const erlangCNote: MethodNote = {
  help: "share that has to wait where all wait (Erlang C)",
  title: "How many have to wait?",
  plain: `The share of people who find all machines taken, if all of them wait. ${unsteady}`,
  formula: "C = c·B / (c − A·(1 − B))",
  source: "Erlang 1917",
  example: { servers: 2, load: 1 },
};

export const queueManyNote: MethodNote = {
  help: "several machines and one queue (M/M/c)",
  title: "Would a second machine help?",
  plain: `Average waits and queue for one, two or more machines at the same demand. ${unsteady}`,
  formula: "wait = C(c, λ/μ) / (c·μ − λ)",
  source: "Hillier & Lieberman, Introduction to Operations Research, queueing theory",
  example: { arrivalRate: 2, serviceRate: 3, servers: 2 },
};

export const queueOneNote: MethodNote = {
  help: "one machine, turns of uneven length (M/G/1)",
  title: "What do uneven turns do to the wait?",
  plain: `Average wait for one machine where some turns are short and some long: the spread counts as much as the mean. ${unsteady}`,
  formula: "wait = λ·(mean² + sd²) / (2·(1 − λ·mean))",
  source: "Pollaczek 1930; Khinchine 1932",
  example: { arrivalRate: 0.8, serviceMean: 1, serviceSd: 0.5 },
};
