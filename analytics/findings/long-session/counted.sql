-- How many sessions there are, in the history that is judged by and in the span.
-- $history timestamptz, null = from the log's beginning · $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz.
-- Gives: "all", "inSpan" integer.
SELECT
  count(*)::int AS "all",
  count(*) FILTER (
    ($until::timestamptz IS NULL OR started_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR started_at >= $since::timestamptz OR end_best > $since::timestamptz)
  )::int AS "inSpan"
FROM session
WHERE started_at <= $as_of::timestamptz AND ($history::timestamptz IS NULL OR started_at >= $history::timestamptz);
