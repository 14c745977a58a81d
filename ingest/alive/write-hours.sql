-- Writes the hours that have new signs of life: the known and the new together.
INSERT INTO alive_hour
WITH signs AS (
  SELECT station, hour_at, second, sequence FROM log_alive
  UNION ALL
  SELECT station, hour_at, second, sequence FROM log_alive_known
  SEMI JOIN (SELECT DISTINCT station, hour_at, sequence IS NOT NULL AS has_sequence FROM log_alive) AS fresh
    ON fresh.station = log_alive_known.station AND fresh.hour_at = log_alive_known.hour_at
    AND fresh.has_sequence = (log_alive_known.sequence IS NOT NULL)
), hours AS (
  -- Sorting a list of pairs is several times as fast as ordering within the aggregate.
  SELECT station, hour_at, has_sequence, list_sort(list({'second': second, 'sequence': sequence})) AS heard
  FROM (SELECT *, sequence IS NOT NULL AS has_sequence FROM signs)
  GROUP BY station, hour_at, has_sequence
), parted AS (
  SELECT station, hour_at, has_sequence, list_transform(heard, lambda sign: sign.second) AS seconds,
    CASE WHEN has_sequence THEN list_transform(heard, lambda sign: sign.sequence) END AS sequences
  FROM hours
), stepped AS (
  SELECT *,
    list_transform(seconds, lambda second, place: (second - CASE WHEN place = 1 THEN 0 ELSE seconds[place - 1] END)::USMALLINT) AS steps,
    list_transform(sequences, lambda sequence, place: sequence - CASE WHEN place = 1 THEN 0 ELSE sequences[place - 1] END) AS sequence_steps
  FROM parted
)
SELECT station, hour_at, has_sequence, len(seconds)::INTEGER, seconds[1], seconds[-1], coalesce(list_max(steps[2:]), 0),
  CASE WHEN len(seconds) > 2 THEN list_median(steps[2:]) END, steps, sequence_steps
FROM stepped
ORDER BY hour_at, station;
