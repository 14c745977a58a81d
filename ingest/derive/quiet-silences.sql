-- Silences after which a station was heard again without having started anew.
-- $as_of, $since timestamptz. Reads alive_stretch, event. Gives: station varchar; low, high double (ms since
-- 1970: last sign of life, next sign); rhythmSeconds double.
WITH gap AS (
  SELECT station, last_at AS low_at, lead(first_at) OVER by_time AS high_at,
    last_value(nullif(longest_gap_seconds, 0) IGNORE NULLS) OVER (by_time ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW) AS rhythm_seconds
  FROM alive_stretch
  WHERE first_at <= $as_of::timestamptz
  WINDOW by_time AS (PARTITION BY station ORDER BY first_at)
), silence AS (
  SELECT * FROM gap WHERE high_at > low_at AND high_at <= $as_of::timestamptz AND high_at >= $since::timestamptz
    AND epoch_us(high_at) - epoch_us(low_at) > 1500000 * rhythm_seconds
), hour AS (
  SELECT station, low_at, high_at, unnest(range(epoch_us(low_at) // 3600000000, epoch_us(high_at) // 3600000000 + 1)) AS hour FROM silence
), broken AS (
  -- A line of the station heard meanwhile ends the silence; a boot makes it another matter.
  SELECT hour.station, low_at, min(occurred_at) AS heard_at, bool_or(kind = 'boot') AS booted
  FROM event JOIN hour ON event.station = hour.station AND epoch_us(occurred_at) // 3600000000 = hour.hour
  WHERE occurred_at > low_at AND occurred_at <= high_at AND occurred_at <= $as_of::timestamptz
  GROUP BY hour.station, low_at
)
SELECT silence.station, epoch_us(low_at) / 1e3 AS low, epoch_us(least(high_at, heard_at)) / 1e3 AS high,
  rhythm_seconds AS "rhythmSeconds"
FROM silence LEFT JOIN broken USING (station, low_at)
WHERE NOT coalesce(booted, false)
ORDER BY low_at, station
