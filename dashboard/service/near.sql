-- Records that count of one task, done within some minutes of a span.
-- $machine, $part, $task varchar · $from, $until timestamptz · $minutes integer · $except bigint, null = none.
-- Gives: id integer.
SELECT record_id::integer AS "id"
FROM service_known
WHERE machine = $machine AND part = $part AND task = $task
  AND done_at <= $until::timestamptz + to_minutes($minutes::integer)
  AND coalesce(done_until, done_at) >= $from::timestamptz - to_minutes($minutes::integer)
  AND record_id IS DISTINCT FROM $except::bigint
ORDER BY record_id;
