// The leaves, in the order of the contents.
import { codes } from "../service/codes.tsx";
import { service, serviceOfMachine } from "../service/service.tsx";
import { sheet } from "../service/sheet.tsx";
import { sparesLeaf } from "../service/spares.tsx";
import { bench } from "./bench/bench.tsx";
import { demand } from "./demand.tsx";
import type { Leaf } from "./leaf.ts";
import { log } from "./log.tsx";
import { machine } from "./machine.tsx";
import { machines } from "./machines.tsx";
import { safety } from "./safety.tsx";
import { today } from "./today.tsx";

export const leaves: readonly Leaf[] = [
  today,
  machines,
  machine,
  service,
  serviceOfMachine,
  sheet,
  sparesLeaf,
  codes,
  demand,
  safety,
  log,
  bench,
];
