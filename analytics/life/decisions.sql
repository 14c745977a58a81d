-- What volunteers decided about how long parts stay in, newest first; only ever added to.
-- $as_of timestamptz.
-- Gives: id integer, machine, part, task, choice, unit varchar, interval, factor, suggested, costPerHour, costPerHourSet double, note, by
-- varchar, time timestamptz.
SELECT
  decision_id::integer AS "id",
  machine AS "machine",
  part AS "part",
  task AS "task",
  choice AS "choice",
  unit AS "unit",
  every AS "interval",
  run_factor AS "factor",
  suggested AS "suggested",
  cost_per_hour AS "costPerHour",
  cost_per_hour_set AS "costPerHourSet",
  note AS "note",
  decided_by AS "by",
  decided_at AS "time"
FROM life_decision
WHERE decided_at <= $as_of::timestamptz
ORDER BY decided_at DESC, decision_id DESC;
