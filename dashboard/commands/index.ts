// Every command there is, in the order of help. Heavy libraries are imported inside each command's `run`.

import { accountCommands } from "./account.ts";
import { asking } from "./asking.ts";
import { backtest } from "./backtest.ts";
import { keepingCommands } from "./backup.ts";
import { benchCommands } from "./bench.ts";
import { calc } from "./calc.ts";
import { calendar } from "./calendar.ts";
import { check } from "./check.ts";
import type { Command } from "./command.ts";
import { completion } from "./completion.ts";
import { demand } from "./demand.ts";
import { demo } from "./demo.ts";
import { digest } from "./digest.ts";
import { due } from "./due.ts";
import { evenings } from "./evenings.ts";
import { findingsCommand } from "./findings.ts";
import { holdCommands } from "./hold.ts";
import { hours } from "./hours.ts";
import { ingest } from "./ingest.ts";
import { init } from "./init.ts";
import { ledgerCommand } from "./ledger.ts";
import { lifeCommands } from "./life.ts";
import { log } from "./log.ts";
import { machines } from "./machines.ts";
import { memberCommands } from "./member.ts";
import { reach, training } from "./members.ts";
import { noteCommands } from "./note.ts";
import { occupancy } from "./occupancy.ts";
import { outageCommands } from "./outage.ts";
import { rejects } from "./rejects.ts";
import { review } from "./review.ts";
import { rounds } from "./rounds.ts";
import { safety } from "./safety.ts";
import { serveCommand } from "./serve.ts";
import { serviceCommands } from "./service.ts";
import { sessions } from "./sessions.ts";
import { setupCommands } from "./setup.ts";
import { sniff } from "./sniff.ts";
import { spares } from "./spares.ts";
import { stockCommands } from "./stock.ts";
import { tokenCommands } from "./token.ts";
import { trail } from "./trail.ts";
import { unit } from "./unit.ts";
import { verify } from "./verify.ts";

export const commands: readonly Command[] = [
  init,
  check,
  sniff,
  ingest,
  rejects,
  calendar,
  log,
  machines,
  sessions,
  hours,
  occupancy,
  demand,
  training,
  reach,
  due,
  backtest,
  ledgerCommand,
  ...lifeCommands,
  spares,
  asking,
  evenings,
  digest,
  findingsCommand,
  safety,
  review,
  ...holdCommands,
  ...serviceCommands,
  ...outageCommands,
  ...stockCommands,
  ...noteCommands,
  calc,
  ...accountCommands,
  ...tokenCommands,
  ...benchCommands,
  ...setupCommands,
  trail,
  rounds,
  ...keepingCommands,
  ...memberCommands,
  verify,
  serveCommand,
  unit,
  completion,
  demo,
];
