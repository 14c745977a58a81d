-- Service records in order of time, undone and corrected ones marked.
-- $ids JSON list of record ids, null = all · $machine, $part, $task varchar, null = all · $since, $until timestamptz, null =
-- unbounded · $as_of timestamptz, null = all: what was done later is left out.
-- Gives: id integer, machine, part, task varchar, time, timeUntil timestamptz, found, why varchar, meterHours double, readings
-- varchar (JSON object), cost double, note, by varchar, undone boolean, serial varchar, corrects, correctedBy integer, withdrawn
-- boolean, enteredAt timestamptz, enteredAs varchar.
SELECT
  r.record_id::integer AS "id",
  r.machine AS "machine",
  r.part AS "part",
  r.task AS "task",
  r.done_at AS "time",
  r.done_until AS "timeUntil",
  r.found AS "found",
  r.why AS "why",
  r.meter_hours AS "meterHours",
  r.readings AS "readings",
  r.cost AS "cost",
  r.note AS "note",
  r.done_by AS "by",
  EXISTS (SELECT 1 FROM service_undo AS u WHERE u.record_id = r.record_id) AS "undone",
  r.serial AS "serial",
  r.corrects::integer AS "corrects",
  (
    SELECT max(c.record_id)
    FROM service_record AS c
    WHERE c.corrects = r.record_id AND NOT EXISTS (SELECT 1 FROM service_undo AS u WHERE u.record_id = c.record_id)
  )::integer AS "correctedBy",
  r.withdrawn AS "withdrawn",
  r.entered_at AS "enteredAt",
  r.entered_as AS "enteredAs"
FROM service_record AS r
WHERE ($ids::varchar IS NULL OR r.record_id IN (SELECT unnest(from_json_strict($ids::varchar, '["BIGINT"]'))))
  AND ($machine::varchar IS NULL OR r.machine = $machine::varchar)
  AND ($part::varchar IS NULL OR r.part = $part::varchar)
  AND ($task::varchar IS NULL OR r.task = $task::varchar)
  AND ($since::timestamptz IS NULL OR coalesce(r.done_until, r.done_at) >= $since::timestamptz)
  AND ($until::timestamptz IS NULL OR r.done_at < $until::timestamptz)
  AND ($as_of::timestamptz IS NULL OR coalesce(r.done_until, r.done_at) <= $as_of::timestamptz)
ORDER BY r.done_at, r.machine, r.part, r.task, r.record_id;
