-- Stations that spoke while no machine claimed them, with when and how much.
-- $as_of timestamptz.
-- Gives: station varchar, firstAt, lastAt timestamptz, events, sessions integer.
WITH heard AS (
  SELECT station, occurred_at AS heard_at, 1 AS events, 0 AS sessions FROM event WHERE occurred_at <= $as_of::timestamptz
  UNION ALL
  SELECT station, unnest([first_at, least(last_at, $as_of::timestamptz)]), 0, 0 FROM alive_stretch WHERE first_at <= $as_of::timestamptz
  UNION ALL
  SELECT station, started_at, 0, 1 FROM session WHERE started_at <= $as_of::timestamptz
)
SELECT h.station, min(h.heard_at) AS "firstAt", max(h.heard_at) AS "lastAt", sum(h.events)::integer AS events, sum(h.sessions)::integer AS sessions
FROM heard h
WHERE NOT EXISTS (
  FROM machine_station m WHERE m.station = h.station AND h.heard_at >= m.from_at AND h.heard_at < m.until_at
)
GROUP BY h.station
ORDER BY h.station;
