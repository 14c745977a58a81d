-- How many sessions there are, in the whole log and in the span.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz.
-- Gives: "all", "inSpan" integer.
SELECT
  count(*)::int AS "all",
  count(*) FILTER (
    ($until::timestamptz IS NULL OR started_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR started_at >= $since::timestamptz OR end_best > $since::timestamptz)
  )::int AS "inSpan"
FROM session
WHERE started_at <= $as_of::timestamptz;
