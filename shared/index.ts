// The room of the words everyone uses: errors, the store and its questions, the files that users write, typed times, badges.
// It knows no other room. Start reading at schema.sql (the tables), then workshop-schema.ts (the workshop file).

export {
  type BadgeKey,
  badgeHasher,
  badgeKey,
  badgeKeyPath,
  badgeStorer,
  isHashedBadge,
  isStandIn,
  newStandIn,
  putKeyAside,
} from "./badges.ts";
export { joinBench } from "./bench.ts";
export { type ApplyOptions, applyWorkshop, ensureOpening } from "./config-tables.ts";
export { DRAWS } from "./draws.ts";
export {
  type Complaint,
  ConflictError,
  FailedError,
  type Insufficient,
  insufficient,
  isInsufficient,
  type Range,
  sentenceFromComplaint,
  UsageError,
} from "./errors.ts";
export { FINDING_RULES, type FindingRule } from "./finding-rules.ts";
export type { FindingSwitch } from "./findings-switches.ts";
export { type OpeningSpan, openingFromTyped, spanFromText, WEEKDAYS, type Weekday } from "./opening-hours.ts";
export { meantBy, oneOf, type Problem, tidyProblems, usageErrorFromProblems } from "./problem.ts";
export {
  decoderLabel,
  EVENT_KINDS,
  type EventKind,
  houseProfile,
  LOG_FORMATS,
  type LogFormat,
  loadProfile,
  type Profile,
  type ProfileDurationField,
  type ProfileEventField,
  type ProfileField,
  type ProfileFields,
  type ProfileTimeField,
  problemsOfProfile,
  profileFromText,
  profileSchema,
} from "./profile.ts";
export { ask, type Bound, perform, QueryError, type Question, question } from "./question.ts";
export { loadRoster, ROSTER_COLUMNS, type RosterRow } from "./roster.ts";
export { type StarterFile, starterFiles } from "./starter.ts";
export {
  type Copy,
  inTransaction,
  isHeld,
  keepNote,
  latestSchema,
  noteCopy,
  noteOfStore,
  openStore,
  putInPlace,
  type Store,
  type StoreOptions,
} from "./store.ts";
export { copyDatabase, quotedName } from "./store-copy.ts";
export { instantsFromLocal, localFromTyped, storeInstantFromTyped } from "./store-times.ts";
export { inspects, renews } from "./task-tables.ts";
export { loadText } from "./text-file.ts";
export { dayAfter, dayOfInstant, instantFromTyped, type TypedTime } from "./times.ts";
export {
  blankWorkshop,
  loadWorkshop,
  pathBeside,
  problemsOf,
  problemsOfText,
  rawWorkshop,
  type WorkshopFile,
} from "./workshop.ts";
export { editedWorkshop, type WorkshopEdit } from "./workshop-edit.ts";
export {
  kindOfMachine,
  type Machine,
  type MachineKind,
  type OpeningException,
  type Part,
  type StationSpan,
  TASK_UNITS,
  type Task,
  type TaskUnit,
  type Workshop,
  workshopSchema,
} from "./workshop-schema.ts";
export { loadYaml, readBySchema, type YamlFile, yamlFromText } from "./yaml-file.ts";
