-- Runs of lines stamped by a clock that was not set, each run between the same good lines; runs that follow one another are one jump.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $zone IANA name: of stamps
-- without an offset.
-- Gives: "from", "until" timestamptz (bounds of when it was), lines, stations integer, station varchar (where it is one), "lagSeconds"
-- double (how far behind the stamps were at least; null where they were of another year).
WITH run AS (
  SELECT
    anchor,
    min(coalesce(early_at, occurred_at)) AS from_at,
    max(coalesce(late_at, occurred_at)) AS until_at,
    count(*) AS lines,
    count(DISTINCT station) AS stations,
    any_value(station) AS station,
    -- Stamps are local, and so is the difference good to the hour of a change of clocks at worst.
    max(epoch_us(occurred_at) - epoch_us(timezone($zone, unset_stamp))) / 1e6 AS lag_seconds
  FROM event
  WHERE anchor IS NOT NULL AND occurred_at <= $as_of::timestamptz
    AND ($until::timestamptz IS NULL OR occurred_at < $until::timestamptz + INTERVAL 7 DAY)
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz - INTERVAL 7 DAY)
  GROUP BY anchor
),
-- A clock that is behind stays so: what it says next may have been as much later as it lags.
reaching AS (
  SELECT
    * REPLACE (CASE WHEN lag_seconds < 172800 THEN until_at + to_seconds(lag_seconds) ELSE until_at END AS until_at)
  FROM run
),
marked AS (
  SELECT *, from_at > max(until_at) OVER (ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS is_new
  FROM reaching
),
numbered AS (
  SELECT *, sum(coalesce(is_new, false)::int) OVER (ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS jump FROM marked
)
SELECT
  min(from_at) AS "from",
  least(max(until_at), $as_of::timestamptz) AS "until",
  sum(lines)::int AS lines,
  max(stations)::int AS stations,
  CASE WHEN max(stations) = 1 AND count(DISTINCT station) = 1 THEN any_value(station) END AS station,
  CASE WHEN max(lag_seconds) < 172800 THEN max(lag_seconds) END AS "lagSeconds"
FROM numbered
GROUP BY jump
HAVING ($until::timestamptz IS NULL OR min(from_at) < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR max(until_at) > $since::timestamptz)
ORDER BY "from";
