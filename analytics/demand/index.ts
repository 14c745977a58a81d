// Demand: what is wished for behind a busy machine, what a further unit would change, and what it costs. Start with measure.ts (what
// the log shows), wishes.ts (what was wished for), what-if.ts (the same people, other circumstances), demand.ts (the answer).
export type { Comparison, DemandAnswer, DemandAsked, DemandGroup, Purchase } from "./demand.ts";
export { answerDemand, demandWorkings, fewestTurns, lifeYears, patienceMinutes } from "./demand.ts";
export { type Reach, type Refusals, reachOf, refusalsByMonth, refusalTrend, type Trained, trainedMembers } from "./members.ts";
export type { DemandModel, ExtraHours, GroupModel, MonthsUsed } from "./model.ts";
export { demandModel, scheduleWith } from "./model.ts";
export type { Change } from "./what-if.ts";
