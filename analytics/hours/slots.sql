-- Makes the temporary table hours_slot: the local days or hours that the windows touch, each with its exact bounds. A day has 23,
-- 24, 24½ or 25 hours; an hour that comes twice is one slot of its double length, one that is left out has no slot.
-- $windows varchar, JSON list of {"from","until"} · $zone IANA name · $grain varchar, day or hour.
-- Gives the table: label timestamp (local wall clock), from_at, until_at timestamptz.
CREATE OR REPLACE TEMP TABLE hours_slot AS
WITH days AS (
  SELECT DISTINCT unnest(generate_series(
    timezone($zone, (w->>'from')::timestamptz)::date,
    timezone($zone, (w->>'until')::timestamptz)::date,
    INTERVAL 1 DAY
  ))::date AS day
  FROM (SELECT unnest($windows::json[]) AS w)
),
-- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
bounds AS (
  SELECT
    day,
    CASE
      WHEN timezone($zone, first_at - INTERVAL 1 HOUR)::date = day THEN first_at - INTERVAL 1 HOUR
      WHEN timezone($zone, first_at - INTERVAL 30 MINUTE)::date = day THEN first_at - INTERVAL 30 MINUTE
      ELSE first_at
    END AS from_at,
    CASE
      WHEN timezone($zone, next_at - INTERVAL 1 HOUR)::date > day THEN next_at - INTERVAL 1 HOUR
      WHEN timezone($zone, next_at - INTERVAL 30 MINUTE)::date > day THEN next_at - INTERVAL 30 MINUTE
      ELSE next_at
    END AS until_at
  FROM (
    SELECT day, timezone($zone, day::timestamp) AS first_at, timezone($zone, day + INTERVAL 1 DAY) AS next_at FROM days
  )
),
-- A local hour starts where its label changes; offsets are whole quarter-hours.
quarters AS (
  SELECT date_trunc('hour', timezone($zone, quarter_at)) AS label, quarter_at
  FROM (SELECT unnest(generate_series(from_at, until_at - INTERVAL 15 MINUTE, INTERVAL 15 MINUTE)) AS quarter_at FROM bounds)
  WHERE $grain = 'hour'
)
SELECT day::timestamp AS label, from_at, until_at FROM bounds WHERE $grain = 'day' AND from_at < until_at
UNION ALL
SELECT label, min(quarter_at) AS from_at, max(quarter_at) + INTERVAL 15 MINUTE AS until_at
FROM quarters
GROUP BY label
ORDER BY label;
