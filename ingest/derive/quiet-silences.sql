-- Silences after which a station was heard again without having started anew. A station may give signs often while in use and
-- seldom while idle: where breaks make up more than a twentieth of its last signs, such breaks are part of its rhythm.
-- $as_of, $from timestamptz: those over before $from are known already. Reads alive_stretch, whole_event. Adds to silence.
INSERT INTO silence
WITH told AS (
  SELECT station, last_at AS low_at, lead(first_at) OVER by_time AS high_at, signs,
    last_value(nullif(longest_gap_seconds, 0) IGNORE NULLS) OVER (by_time ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW) AS within_seconds,
    (epoch_us(first_at) - epoch_us(lag(last_at) OVER by_time)) / 1e6 AS break_seconds
  FROM alive_stretch
  WHERE first_at <= $as_of::timestamptz
  WINDOW by_time AS (PARTITION BY station ORDER BY first_at)
), gap AS (
  SELECT station, low_at, high_at,
    greatest(within_seconds, CASE WHEN count(*) OVER lately > 0.05 * sum(signs) OVER lately
      THEN quantile_cont(break_seconds, 0.9) OVER lately END) AS rhythm_seconds
  FROM told
  WINDOW lately AS (PARTITION BY station ORDER BY low_at ROWS BETWEEN 40 PRECEDING AND CURRENT ROW)
), silence_found AS (
  SELECT * FROM gap WHERE high_at > low_at AND high_at <= $as_of::timestamptz AND high_at >= $from::timestamptz
    AND epoch_us(high_at) - epoch_us(low_at) > 1500000 * rhythm_seconds
), hour AS (
  SELECT station, low_at, high_at, unnest(range(epoch_us(low_at) // 3600000000, epoch_us(high_at) // 3600000000 + 1)) AS hour FROM silence_found
), broken AS (
  -- A line of the station heard meanwhile ends the silence; a boot makes it another matter.
  SELECT hour.station, low_at, min(occurred_at) AS heard_at, bool_or(kind = 'boot') AS booted
  FROM whole_event AS event JOIN hour ON event.station = hour.station AND epoch_us(occurred_at) // 3600000000 = hour.hour
  WHERE occurred_at > low_at AND occurred_at <= high_at AND occurred_at <= $as_of::timestamptz
    AND occurred_at >= (SELECT min(low_at) FROM silence_found)
  GROUP BY hour.station, low_at
)
SELECT station, low_at, least(high_at, heard_at), high_at, rhythm_seconds
FROM silence_found LEFT JOIN broken USING (station, low_at)
WHERE NOT coalesce(booted, false)
