-- What members said of machines, newest first.
-- $machine varchar, null = all · $open boolean: only those that nobody has looked at · $as_of timestamptz, null = all.
-- Gives: id integer, machine varchar, time timestamptz, text, by varchar, closedAt timestamptz, closedBy varchar.
SELECT
  note_id::integer AS "id",
  machine AS "machine",
  said_at AS "time",
  text AS "text",
  said_by AS "by",
  closed_at AS "closedAt",
  closed_by AS "closedBy"
FROM machine_note
WHERE ($machine::varchar IS NULL OR machine = $machine::varchar)
  AND (NOT $open::boolean OR closed_at IS NULL)
  AND ($as_of::timestamptz IS NULL OR said_at <= $as_of::timestamptz)
ORDER BY said_at DESC, note_id DESC;
