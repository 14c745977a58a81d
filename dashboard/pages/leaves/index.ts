// The leaves, in the order of the contents.
import { bench } from "./bench/bench.tsx";
import { demand } from "./demand.tsx";
import type { Leaf } from "./leaf.ts";
import { log } from "./log.tsx";
import { machine } from "./machine.tsx";
import { machines } from "./machines.tsx";
import { today } from "./today.tsx";

export const leaves: readonly Leaf[] = [today, machines, machine, demand, log, bench];
