// Analytics: rows become answers. It reads the tables of shared/schema.sql and knows only shared/; analytics/stats/ thinks on
// plain numbers and asks nothing. Start reading at hours/hours.ts.
export type { Bucket, FlatAnswer, HoursAsked, HoursRow, MaybeRange, SessionRow, Span } from "./hours/hours.ts";
export { BUCKETS, hours, hoursRelation, sessions, sessionsRelation } from "./hours/hours.ts";
export type { Ladder, Occupancy } from "./occupancy/occupancy.ts";
export { occupancy } from "./occupancy/occupancy.ts";
