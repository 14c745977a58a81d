-- Where stretches of life are told anew: of each station the last few before the new signs and all behind.
-- $stations JSON list · $from timestamptz before which there are no new signs.
-- Makes log_alive_cut: station, cut_at timestamptz.
CREATE OR REPLACE TABLE log_alive_cut AS
WITH fresh AS (
  SELECT unnest($stations::JSON::VARCHAR[]) AS station, make_timestamptz(epoch_us($from::TIMESTAMPTZ) // 3600000000 * 3600000000) AS first_at
), before AS (
  SELECT fresh.station, alive_stretch.first_at, row_number() OVER (PARTITION BY fresh.station ORDER BY alive_stretch.first_at DESC) AS back
  FROM fresh JOIN alive_stretch ON alive_stretch.station = fresh.station AND alive_stretch.first_at < fresh.first_at
)
SELECT fresh.station, coalesce(before.first_at, TIMESTAMPTZ '1970-01-01') AS cut_at
FROM fresh LEFT JOIN before ON before.station = fresh.station AND before.back = 4;
