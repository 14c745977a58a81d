-- Spells in which a station spoke that no machine of the workshop file claims then; a week's silence ends a spell.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz.
-- Gives: station varchar, "from", "until" timestamptz, lines, sessions, signs integer (signs of life).
WITH claimed AS MATERIALIZED (
  SELECT station, min(from_at) AS from_at, max(until_at) AS until_at, count(*) AS spans FROM machine_station GROUP BY station
),
-- Claimed throughout by one span: the usual case, looked up at once.
always AS MATERIALIZED (
  SELECT station FROM claimed WHERE spans = 1 AND from_at = '-infinity'::timestamptz AND until_at = 'infinity'::timestamptz
),
said AS MATERIALIZED (
  SELECT station, occurred_at AS from_at, occurred_at AS until_at, 1 AS lines, (kind = 'enable')::int AS sessions, 0 AS signs
  FROM event e
  WHERE station NOT IN (SELECT station FROM always) AND occurred_at <= $as_of::timestamptz
    AND NOT EXISTS (
      SELECT 1 FROM machine_station s WHERE s.station = e.station AND e.occurred_at >= s.from_at AND e.occurred_at < s.until_at
    )
  UNION ALL
  SELECT station, first_at, least(last_at, $as_of::timestamptz), 0, 0, signs::int
  FROM alive_stretch a
  WHERE station NOT IN (SELECT station FROM always) AND first_at <= $as_of::timestamptz
    AND NOT EXISTS (
      SELECT 1 FROM machine_station s WHERE s.station = a.station AND a.first_at < s.until_at AND a.last_at >= s.from_at
    )
),
marked AS (
  SELECT
    *,
    from_at > max(until_at) OVER (PARTITION BY station ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) + INTERVAL 7 DAY AS is_new
  FROM said
),
numbered AS (
  SELECT *, count(*) FILTER (is_new) OVER (PARTITION BY station ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS spell FROM marked
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
