-- The service records that count and were known at a time: not undone, not corrected, done by then.
-- $as_of timestamptz.
-- Gives: id integer, machine, part, task varchar, doneAt, doneUntil timestamptz, found, why, readings varchar (JSON object),
-- serial varchar; in order of time.
SELECT
  record_id::integer AS "id",
  machine AS "machine",
  part AS "part",
  task AS "task",
  done_at AS "doneAt",
  done_until AS "doneUntil",
  found AS "found",
  why AS "why",
  readings AS "readings",
  serial AS "serial"
FROM service_known
WHERE coalesce(done_until, done_at) <= $as_of::timestamptz
ORDER BY coalesce(done_until, done_at), done_at, record_id;
