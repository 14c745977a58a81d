// The leaves, in the order of the contents.
import { codes } from "../service/codes.tsx";
import { service, serviceOfMachine } from "../service/service.tsx";
import { sheet } from "../service/sheet.tsx";
import { sparesLeaf } from "../service/spares.tsx";
import { setupOfMachine } from "../setup/machine-setup.tsx";
import { setup } from "../setup/setup.tsx";
import { bench } from "./bench/bench.tsx";
import { demandBrief } from "./demand/brief.tsx";
import { demand } from "./demand/demand.tsx";
import { demandYear } from "./demand/year.tsx";
import { kept } from "./kept.tsx";
import type { Leaf } from "./leaf.ts";
import { log } from "./log.tsx";
import { machine } from "./machine.tsx";
import { machines } from "./machines.tsx";
import { rounds } from "./rounds.tsx";
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
  demandBrief,
  demandYear,
  safety,
  log,
  bench,
  setup,
  setupOfMachine,
  rounds,
  kept,
];
