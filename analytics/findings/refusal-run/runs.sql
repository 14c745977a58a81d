-- Refusals at one station with less than the gap between them: how many, by how many badges, how fast.
-- $since, $until timestamptz are not asked for: all runs up to the as-of time say what is usual · $as_of timestamptz · $gap_seconds double.
-- Gives: machine (null where none claims the station), "machineName", station, badge varchar (of the first), badges integer, count
-- integer, "from", "until" timestamptz, "times" double[] (seconds since the first).
WITH refusal AS (
  SELECT station, badge, occurred_at,
    epoch_us(occurred_at) - lag(epoch_us(occurred_at)) OVER (PARTITION BY station ORDER BY occurred_at) AS gap_us
  FROM event
  WHERE kind = 'refuse' AND occurred_at <= $as_of::timestamptz
), numbered AS (
  SELECT station, badge, occurred_at,
    sum((gap_us IS NULL OR gap_us > $gap_seconds::double * 1e6)::int) OVER (PARTITION BY station ORDER BY occurred_at) AS run
  FROM refusal
), run AS (
  SELECT
    station,
    arg_min(badge, occurred_at) AS badge,
    count(DISTINCT badge)::int AS badges,
    count(*)::int AS count,
    min(occurred_at) AS from_at,
    max(occurred_at) AS until_at,
    list((epoch_us(occurred_at) / 1e6) ORDER BY occurred_at) AS times
  FROM numbered
  GROUP BY station, run
)
SELECT
  o.machine,
  m.name AS "machineName",
  r.station,
  r.badge,
  r.badges,
  r.count,
  r.from_at AS "from",
  r.until_at AS "until",
  list_transform(r.times, lambda t: t - r.times[1]) AS times
FROM run AS r
LEFT JOIN machine_station AS o ON o.station = r.station AND r.from_at >= o.from_at AND r.from_at < o.until_at
LEFT JOIN machine AS m ON m.machine = o.machine
ORDER BY r.from_at, r.station;
