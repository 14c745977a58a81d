-- Makes the temporary table piece_draw: for each joint world the seconds that sessions with unseen ends add to a local day or
-- hour.
-- $windows varchar, JSON list of {"from","until"} · $machine varchar, null = all · $as_of timestamptz · $zone IANA name ·
-- $grain varchar, day or hour.
-- Gives the table: machine varchar, label timestamp, world integer (from 1), enabled_seconds double.
CREATE OR REPLACE TEMP TABLE piece_draw AS
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
),
part AS (
  SELECT
    s.machine,
    s.started_at,
    s.end_draws,
    greatest(s.started_at, w.from_at) AS from_at,
    least(s.started_at + to_microseconds((list_max(s.end_draws) * 1e6)::bigint), w.until_at, $as_of::timestamptz) AS until_at
  FROM session s
  JOIN span w ON s.started_at < w.until_at
  WHERE s.end_draws IS NOT NULL AND ($machine::varchar IS NULL OR s.machine = $machine::varchar)
),
cut AS (
  SELECT
    *,
    unnest(CASE
      WHEN $grain = 'day'
        THEN generate_series(date_trunc('day', timezone($zone, from_at)), date_trunc('day', timezone($zone, until_at)), INTERVAL 1 DAY)
      ELSE generate_series(date_trunc('hour', timezone($zone, from_at)), date_trunc('hour', timezone($zone, until_at)), INTERVAL 1 HOUR)
    END) AS label
  FROM part
  WHERE until_at > from_at
),
drawn AS (
  SELECT
    c.machine,
    slot.label,
    unnest(c.end_draws) AS end_seconds,
    generate_subscripts(c.end_draws, 1) AS world,
    epoch_us(greatest(c.from_at, slot.from_at) - c.started_at) / 1e6 AS from_seconds,
    epoch_us(least(c.until_at, slot.until_at) - c.started_at) / 1e6 AS until_seconds
  FROM cut c
  JOIN slot ON slot.label = c.label
)
SELECT machine, label, world::integer AS world, sum(greatest(0, least(end_seconds, until_seconds) - from_seconds)) AS enabled_seconds
FROM drawn
GROUP BY ALL;
