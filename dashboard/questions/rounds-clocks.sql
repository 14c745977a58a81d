-- What had to be put right about the clock of the last days' lines, by what was done, figures left out of it.
-- $since, $until timestamptz.
-- Gives: what varchar, lines, stations double, station varchar (where it is one).
WITH repaired AS (
  SELECT regexp_replace(regexp_replace(repair, '"[^"]*"', '…', 'g'), '\b\d[\d.:,TZ+-]*\b', '…', 'g') AS what, station
  FROM event
  WHERE repair IS NOT NULL AND occurred_at >= $since::timestamptz AND occurred_at < $until::timestamptz
)
SELECT
  what AS "what",
  count(*)::double AS "lines",
  count(DISTINCT station)::double AS "stations",
  CASE WHEN count(DISTINCT station) = 1 THEN min(station) END AS "station"
FROM repaired
GROUP BY what
ORDER BY count(*) DESC, what;
