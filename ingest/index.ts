// The room in which a log becomes rows: files and live lines in, accounted for to the last one, then sessions derived from them.
// reading/ brings any file before DuckDB as clean lines, storing/ types and stores them, derive/ makes sessions. Knows shared/ only.
// Start reading at ingest-file.ts.

export type { Account, Touched } from "./accounting.ts";
export { touchedByBoth } from "./accounting.ts";
export { tellAlive } from "./alive/keep-alive.ts";
export { deriveSessions, rulesVersion, type Verification, verifyDerivation } from "./derive/index.ts";
export { type BatchRequest, type FileRequest, ingestBatch, ingestFile } from "./ingest-file.ts";
export { MQTT_LIMITS, type MqttBatch, type MqttLimits, type MqttSubscription, subscribeMqtt } from "./live/subscribe-mqtt.ts";
export { type FolderDelivery, type FolderWatch, type Live, watchFolder } from "./live/watch-folder.ts";
export {
  type AgainRequest,
  listRejects,
  type Reject,
  type RejectGroup,
  rejectsAgain,
  rejectsByReason,
} from "./rejects/rejects.ts";
export { type ReadRow, type Sniffed, type SniffSettings, sniffFile, type Tried, tryProfile } from "./sniff/sniff.ts";
