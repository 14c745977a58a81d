-- Which station was heard on which local day: how many events, and how many stretches of signs of life touch the day.
-- $since, $until timestamptz, null = unbounded; until excluded · $zone IANA name.
-- Gives: station varchar, day varchar (YYYY-MM-DD), events, alive int; days on which nothing was heard are left out.
WITH heard AS (
  SELECT station, occurred_at AS heard_at FROM event
  UNION ALL
  SELECT station, started_at FROM stretch
), by_event AS (
  SELECT station, timezone($zone, heard_at)::date AS local_day, count(*) AS events
  FROM heard
  WHERE ($since::timestamptz IS NULL OR heard_at >= $since::timestamptz)
    AND ($until::timestamptz IS NULL OR heard_at < $until::timestamptz)
  GROUP BY ALL
), clipped AS (
  SELECT
    station,
    greatest(first_at, coalesce($since::timestamptz, first_at)) AS from_at,
    least(last_at, coalesce($until::timestamptz - INTERVAL 1 MICROSECOND, last_at)) AS until_at
  FROM alive_stretch
), by_sign AS (
  SELECT station, touched::date AS local_day, count(*) AS alive
  FROM (
    SELECT station, unnest(generate_series(timezone($zone, from_at)::date, timezone($zone, until_at)::date, INTERVAL 1 DAY)) AS touched
    FROM clipped
    WHERE from_at <= until_at
  )
  GROUP BY ALL
)
SELECT
  station AS "station",
  strftime(local_day, '%Y-%m-%d') AS "day",
  coalesce(events, 0)::int AS "events",
  coalesce(alive, 0)::int AS "alive"
FROM by_event
FULL JOIN by_sign USING (station, local_day)
ORDER BY station, local_day;
