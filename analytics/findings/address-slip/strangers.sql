-- Stations that no machine claims at that time and that spoke within the spans asked about: when, and what their counter said.
-- $spans JSON list of {from, until} (RFC 3339) · $as_of timestamptz.
-- Gives: station varchar, "from", "until" timestamptz (excluded where the silence ends), "firstHeard", "lastHeard" timestamptz, lines integer, "firstSequence" bigint.
WITH span AS MATERIALIZED (
  SELECT DISTINCT s."from"::timestamptz AS from_at, s.until::timestamptz AS until_at
  FROM (SELECT unnest(from_json_strict($spans, '[{"from":"VARCHAR","until":"VARCHAR"}]')) AS s)
), stranger AS MATERIALIZED (
  SELECT station FROM (SELECT DISTINCT station FROM event UNION SELECT DISTINCT station FROM alive_hour)
  WHERE station NOT IN (SELECT station FROM machine_station)
), line AS (
  SELECT p.from_at, p.until_at, e.station, e.occurred_at, e.sequence, 1 AS lines
  FROM event AS e
  JOIN stranger AS t ON t.station = e.station
  JOIN span AS p ON e.occurred_at >= p.from_at AND e.occurred_at < p.until_at
  WHERE e.occurred_at <= $as_of::timestamptz
  UNION ALL
  SELECT p.from_at, p.until_at, h.station, h.hour_at + to_seconds(h.first_second), h.sequence_steps[1], h.signs
  FROM alive_hour AS h
  JOIN stranger AS t ON t.station = h.station
  JOIN span AS p ON h.hour_at + to_seconds(h.first_second) >= p.from_at AND h.hour_at < p.until_at
  WHERE h.hour_at <= $as_of::timestamptz
)
SELECT
  station,
  from_at AS "from",
  until_at AS "until",
  min(occurred_at) AS "firstHeard",
  max(occurred_at) AS "lastHeard",
  sum(lines)::int AS lines,
  arg_min(sequence, occurred_at)::double AS "firstSequence"
FROM line
GROUP BY station, from_at, until_at
ORDER BY from_at, station;
