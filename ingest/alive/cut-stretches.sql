-- Removes the stretches of life that new signs may change: of each station the last few before them and all behind.
-- Makes log_alive_cut: station, cut_at timestamptz.
CREATE OR REPLACE TABLE log_alive_cut AS
WITH fresh AS (
  SELECT station, min(heard_at) AS first_at
  FROM (
    SELECT station, hour_at AS heard_at FROM log_alive
    UNION ALL
    SELECT station, occurred_at FROM log_alive_odd
  )
  GROUP BY station
), before AS (
  SELECT fresh.station, alive_stretch.first_at, row_number() OVER (PARTITION BY fresh.station ORDER BY alive_stretch.first_at DESC) AS back
  FROM fresh JOIN alive_stretch ON alive_stretch.station = fresh.station AND alive_stretch.first_at < fresh.first_at
)
SELECT fresh.station, coalesce(before.first_at, TIMESTAMPTZ '1970-01-01') AS cut_at
FROM fresh LEFT JOIN before ON before.station = fresh.station AND before.back = 4;
