-- Outages of the workshop file and those typed at the bench, in order of time.
-- $machine varchar, null = all · $since, $until, $as_of timestamptz, null = unbounded. An end after the as-of time is not known.
-- Gives: id varchar (a number, or of the workshop file machine and first moment), machine varchar, from, until timestamptz (null
-- while it lasts), reason, by, endedBy varchar, source varchar (bench, workshop file).
WITH outage AS (
  SELECT
    outage_id::varchar AS id,
    machine,
    from_at,
    until_at,
    reason,
    tagged_by,
    ended_by,
    'bench' AS source
  FROM bench_outage
  UNION ALL
  SELECT
    'file:' || machine || ':' || strftime(timezone('UTC', from_at), '%Y-%m-%dT%H:%M:%SZ'),
    machine,
    from_at,
    CASE WHEN isfinite(until_at) THEN until_at END,
    reason,
    NULL,
    NULL,
    'workshop file'
  FROM workshop_outage
)
SELECT
  id AS "id",
  machine AS "machine",
  from_at AS "from",
  CASE WHEN $as_of::timestamptz IS NULL OR until_at <= $as_of::timestamptz THEN until_at END AS "until",
  reason AS "reason",
  tagged_by AS "by",
  ended_by AS "endedBy",
  source AS "source"
FROM outage
WHERE ($machine::varchar IS NULL OR machine = $machine::varchar)
  AND ($since::timestamptz IS NULL OR until_at IS NULL OR until_at > $since::timestamptz)
  AND ($until::timestamptz IS NULL OR from_at < $until::timestamptz)
  AND ($as_of::timestamptz IS NULL OR from_at <= $as_of::timestamptz)
ORDER BY from_at, machine, id;
