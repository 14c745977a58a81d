-- Spells in which a station spoke that no machine of the workshop file claims then; a week's silence ends a spell.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz.
-- Gives: station varchar, "from", "until" timestamptz, lines, sessions, signs integer (signs of life).
WITH heard AS (
  SELECT DISTINCT station FROM event
  WHERE ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz) AND ($until::timestamptz IS NULL OR occurred_at < $until::timestamptz)
  UNION
  SELECT DISTINCT station FROM alive_stretch
  WHERE ($since::timestamptz IS NULL OR last_at >= $since::timestamptz) AND ($until::timestamptz IS NULL OR first_at < $until::timestamptz)
),
-- Stations that are not claimed throughout by one span: most never get further than this.
doubtful AS MATERIALIZED (
  SELECT h.station
  FROM heard h
  LEFT JOIN machine_station s ON s.station = h.station
  GROUP BY h.station
  HAVING count(s.machine) <> 1 OR min(s.from_at) > '-infinity'::timestamptz OR max(s.until_at) < 'infinity'::timestamptz
),
said AS MATERIALIZED (
  SELECT e.station, e.occurred_at AS from_at, e.occurred_at AS until_at, 1 AS lines, (e.kind = 'enable')::int AS sessions, 0 AS signs
  FROM event e
  LEFT JOIN machine_station s ON s.station = e.station AND e.occurred_at >= s.from_at AND e.occurred_at < s.until_at
  WHERE e.station IN (SELECT station FROM doubtful) AND e.occurred_at <= $as_of::timestamptz AND s.station IS NULL
  UNION ALL
  SELECT a.station, a.first_at, least(a.last_at, $as_of::timestamptz), 0, 0, a.signs::int
  FROM alive_stretch a
  LEFT JOIN machine_station s ON s.station = a.station AND a.first_at < s.until_at AND a.last_at >= s.from_at
  WHERE a.station IN (SELECT station FROM doubtful) AND a.first_at <= $as_of::timestamptz AND s.station IS NULL
),
marked AS (
  SELECT
    *,
    from_at > max(until_at) OVER (PARTITION BY station ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) + INTERVAL 7 DAY AS is_new
  FROM said
),
numbered AS (
  SELECT *, sum(coalesce(is_new, false)::int) OVER (PARTITION BY station ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS spell FROM marked
)
SELECT
  station,
  min(from_at) AS "from",
  max(until_at) AS "until",
  sum(lines)::int AS lines,
  sum(sessions)::int AS sessions,
  sum(signs)::int AS signs
FROM numbered
GROUP BY station, spell
HAVING ($until::timestamptz IS NULL OR min(from_at) < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR max(until_at) > $since::timestamptz OR min(from_at) >= $since::timestamptz)
  -- Signs of life alone, just before or after a machine has the station: its day in the workshop file is a little late or early.
  AND (sum(lines) > 0 OR NOT EXISTS (
    SELECT 1 FROM machine_station s
    WHERE s.station = numbered.station AND s.from_at <= max(numbered.until_at) + INTERVAL 7 DAY AND s.until_at >= min(numbered.from_at) - INTERVAL 7 DAY
  ))
ORDER BY "from", station;
