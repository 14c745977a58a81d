-- Badges that the roster doesn't know, by badge and night: a night goes from six in the morning to six in the morning, local time.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $zone IANA name.
-- Gives: badge, night (date) varchar, "from", "until" timestamptz, enabled, refused, changed integer (lines), station, machine,
-- "machineName" varchar (of the first line; machine null where no machine claims the station), stations integer.
WITH stranger AS MATERIALIZED (
  SELECT station, badge, kind, occurred_at
  FROM event
  WHERE badge IS NOT NULL AND occurred_at <= $as_of::timestamptz
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz - INTERVAL 25 HOUR)
    AND ($until::timestamptz IS NULL OR occurred_at < $until::timestamptz + INTERVAL 25 HOUR)
    AND badge NOT IN (SELECT badge FROM roster)
),
seen AS (
  SELECT badge, station, kind, occurred_at FROM stranger WHERE kind IN ('enable', 'refuse', 'change', 'release')
  UNION ALL
  -- The badge of a session stays until its end.
  SELECT badge, station, 'end', least(end_best, $as_of::timestamptz)
  FROM session
  WHERE badge IN (SELECT badge FROM stranger) AND started_at IN (SELECT occurred_at FROM stranger WHERE kind = 'enable')
),
night AS (
  SELECT
    *,
    (timezone($zone, occurred_at) - INTERVAL 6 HOUR)::date AS night
  FROM seen
)
SELECT
  n.badge,
  n.night::varchar AS night,
  min(n.occurred_at) AS "from",
  max(n.occurred_at) AS "until",
  count(*) FILTER (n.kind = 'enable')::int AS enabled,
  count(*) FILTER (n.kind = 'refuse')::int AS refused,
  count(*) FILTER (n.kind = 'change')::int AS changed,
  arg_min(n.station, n.occurred_at) AS station,
  arg_min(m.machine, n.occurred_at) AS machine,
  arg_min(m.name, n.occurred_at) AS "machineName",
  count(DISTINCT n.station)::int AS stations
FROM night n
LEFT JOIN machine_station s ON s.station = n.station AND n.occurred_at >= s.from_at AND n.occurred_at < s.until_at
LEFT JOIN machine m ON m.machine = s.machine
GROUP BY n.badge, n.night
HAVING count(*) FILTER (n.kind <> 'end') > 0
  AND ($until::timestamptz IS NULL OR min(n.occurred_at) < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR max(n.occurred_at) > $since::timestamptz OR min(n.occurred_at) >= $since::timestamptz)
ORDER BY "from", station, n.badge;
