// Analytics: rows become answers. It reads the tables of shared/schema.sql and knows only shared/; analytics/stats/ thinks on
// plain numbers and asks nothing. Start reading at hours/hours.ts.

export { type Asking, type AskingAnswer, askingAnswer } from "./asking/asking.ts";
export type {
  Change,
  Comparison,
  DemandAnswer,
  DemandAsked,
  DemandGroup,
  DemandModel,
  ExtraHours,
  GroupModel,
  MonthsUsed,
  Purchase,
} from "./demand/index.ts";
export {
  answerDemand,
  demandModel,
  demandWorkings,
  lifeYears,
  patienceMinutes,
  reachOf,
  refusalsByMonth,
  refusalTrend,
  scheduleWith,
  trainedMembers,
} from "./demand/index.ts";
export { type Evening, eveningsAnswer, eveningsOf } from "./evenings/evenings.ts";
export { type Finding, type FindingsAsked, findings, foundByRules, rulesInUse } from "./findings/index.ts";
export {
  byDay,
  type Clock,
  clocksOf,
  type DayStretch,
  endingPermissions,
  type LengthStrip,
  lengthStrips,
  type Neighbour,
  neighboursOf,
  openStretches,
  type Permission,
} from "./findings/night/night.ts";
export { REVIEW_STATES, type Reviewed, type ReviewState } from "./findings/reviews.ts";
export { SEVERITIES, type Severity } from "./findings/rule.ts";
export { rules, urgentRules } from "./findings/rules.ts";
export type { Pressure, TrackRecord } from "./findings/track-record.ts";
export { type BacktestHorizon, backtest } from "./forecast/backtest.ts";
export type { FlatAnswer, MaybeRange, Span, Workings } from "./hours/asked.ts";
export type { FactorQuestion, LeastSquares, RunFactor } from "./hours/factors.ts";
export { runFactors } from "./hours/factors.ts";
export type { Bucket, HoursAsked, HoursRow, SessionRow } from "./hours/hours.ts";
export { BUCKETS, hours, hoursRelation, hoursRows, sessions, sessionsRelation } from "./hours/hours.ts";
export type { StationDay, StationSeen } from "./hours/stations.ts";
export { coverage, stationsSeen } from "./hours/stations.ts";
export { CHOICES, type Choice, type Decision, type Decisions, loadDecisions } from "./life/decisions.ts";
export { type LifeRow, lifeAnswer, type MachineRepairs } from "./life/life.ts";
export { loadLimitDraws } from "./life/limits.ts";
export type { Ladder, Occupancy, OccupancyAsked } from "./occupancy/occupancy.ts";
export { occupancy, occupancyWorkings } from "./occupancy/occupancy.ts";
export type { RefreshAsked, Refreshed } from "./rollups/index.ts";
export { refreshRollups } from "./rollups/index.ts";
export { CATALOGUE, type CataloguedTask, catalogueFor } from "./service/catalogue.ts";
export { type Cautioned, cautionsFor, GENERAL_CAUTIONS } from "./service/cautions.ts";
export { type DueBy, type DueDates, type DueState, type DueTask, dueTasks, type LimitDraws } from "./service/due.ts";
export { meanOfFactor } from "./service/figures.ts";
export { keepLedger, type Ledger, type LedgerRow, ledger } from "./service/ledger.ts";
export type { Task, UseBasis } from "./service/tasks.ts";
export { type ReadingState, type UsedBy, type UsedTask, usedSoFar } from "./service/used.ts";
export { type SpareRow, sparesAnswer } from "./spares/spares.ts";
