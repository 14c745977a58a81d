-- Every session that overlaps the span, unclipped, as it was known at the as-of time, ordered by start, then station.
-- $machine varchar, null = all · $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz.
-- Gives: machine, station, badge varchar, start, "end" (seen), endBest timestamptz, ended varchar, hours_low, hours_best,
-- hours_high double (hard bounds and conditional median).
SELECT
  machine,
  station,
  badge,
  started_at AS start,
  CASE WHEN ended_at <= $as_of::timestamptz THEN ended_at END AS "end",
  least(end_best, $as_of::timestamptz) AS "endBest",
  CASE WHEN end_high > $as_of::timestamptz THEN 'open' ELSE ended END AS ended,
  (epoch_us(least(end_low, $as_of::timestamptz)) - epoch_us(started_at)) / 3.6e9 AS hours_low,
  (epoch_us(least(end_best, $as_of::timestamptz)) - epoch_us(started_at)) / 3.6e9 AS hours_best,
  (epoch_us(least(end_high, $as_of::timestamptz)) - epoch_us(started_at)) / 3.6e9 AS hours_high
FROM session
WHERE started_at <= $as_of::timestamptz
  AND ($machine::varchar IS NULL OR machine = $machine::varchar)
  AND ($until::timestamptz IS NULL OR started_at < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR started_at >= $since::timestamptz OR end_high > $since::timestamptz)
ORDER BY started_at, station, session_id;
