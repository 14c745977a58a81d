-- Which stations were giving signs of life at each of some instants: within one and a half of their rhythm.
-- $instants varchar: JSON list of ms since 1970. Reads alive_stretch. Gives: at_ms double, stations varchar[].
-- Stretches and instants meet by the day, so that not each is held against each.
WITH instant AS (
  SELECT at_ms, (at_ms // 86400000)::bigint AS day FROM (SELECT unnest($instants::json[])::double AS at_ms)
), alive AS (
  SELECT station, epoch_us(first_at) / 1e3 AS first_ms, epoch_us(last_at) / 1e3 + longest_gap_seconds * 1500 AS last_ms
  FROM alive_stretch
), alive_day AS (
  SELECT *, unnest(range((first_ms // 86400000)::bigint, (last_ms // 86400000)::bigint + 1)) AS day FROM alive
)
SELECT at_ms::double AS at_ms, list(DISTINCT station ORDER BY station) AS stations
FROM instant JOIN alive_day USING (day)
WHERE at_ms BETWEEN first_ms AND last_ms
GROUP BY at_ms
