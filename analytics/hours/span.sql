-- The span an answer is about, on the workshop's clock.
-- $since, $until timestamptz, null = as far as the log goes · $as_of timestamptz.
-- Gives: from_at, until_at timestamptz (the span, cut at the as-of time), until_sharp (a microsecond later where it is the
-- as-of time that cuts, since what happened at that very instant is known), all varchar.
WITH reach AS (
  SELECT min(first_at) AS first_at
  FROM (
    SELECT min(occurred_at) AS first_at FROM event
    UNION ALL
    SELECT min(started_at) FROM session
    UNION ALL
    SELECT min(first_at) FROM alive_stretch
  )
)
SELECT
  coalesce($since::timestamptz, least(first_at, $as_of::timestamptz), $as_of::timestamptz)::varchar AS from_at,
  least(coalesce($until::timestamptz, $as_of::timestamptz), $as_of::timestamptz)::varchar AS until_at,
  least(coalesce($until::timestamptz, 'infinity'::timestamptz), $as_of::timestamptz + INTERVAL 1 MICROSECOND)::varchar AS until_sharp
FROM reach;
