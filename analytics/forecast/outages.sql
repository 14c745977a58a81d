-- Outages as they are known at a moment: of the past as far as they had gone, of the time ahead only what the workshop file plans.
-- Where this connection sees another time than the store's (temporary sessions), what the file says of later may have been learned
-- later, and isn't taken.
-- $as_of timestamptz · $first date: the day that counts as 0 · $zone IANA name.
-- Gives: machine varchar, fromDay, untilDay double (days and shares of days since the first; untilDay null while nobody knows).
WITH point AS (
  SELECT EXISTS (SELECT 1 FROM duckdb_tables() WHERE temporary AND table_name = 'session') AS is_past
),
known AS (
  SELECT
    machine,
    from_at,
    CASE WHEN until_at = 'infinity' OR (is_past AND until_at > $as_of::timestamptz) THEN NULL ELSE until_at END AS until_at
  FROM workshop_outage, point
  WHERE NOT is_past OR from_at <= $as_of::timestamptz
  UNION ALL
  SELECT machine, from_at, CASE WHEN until_at <= $as_of::timestamptz THEN until_at END
  FROM bench_outage
  WHERE from_at <= $as_of::timestamptz
)
SELECT
  machine AS "machine",
  epoch_us(timezone($zone, from_at) - $first::timestamp) / 86.4e9 AS "fromDay",
  epoch_us(timezone($zone, until_at) - $first::timestamp) / 86.4e9 AS "untilDay"
FROM known
WHERE from_at < coalesce(until_at, 'infinity'::timestamptz)
ORDER BY machine, from_at;
