-- Rows of a log of sessions, believed as written; a row without finish ends by what came next at its station.
-- $as_of, $since timestamptz. Reads stretch, station_span. Adds to found.
INSERT INTO found
SELECT
  (md5_number_lower(concat_ws('|', known.station, epoch_us(started_at), coalesce(badge, ''))) >> 1)::bigint,
  coalesce(machine, concat('station:', known.station)),
  known.station, badge, started_at, 1, NULL, NULL,
  CASE WHEN finished_at IS NOT NULL THEN 'release' WHEN next_at IS NOT NULL THEN 'enable' END,
  coalesce(finished_at, next_at), NULL, NULL
FROM (
  SELECT station, badge, started_at,
    CASE WHEN finished_at <= $as_of::timestamptz THEN finished_at END AS finished_at,
    min(started_at) OVER (PARTITION BY station ORDER BY started_at RANGE BETWEEN INTERVAL 1 MICROSECOND FOLLOWING AND UNBOUNDED FOLLOWING) AS next_at
  FROM stretch
  WHERE started_at <= $as_of::timestamptz AND started_at >= $since::timestamptz
) AS known
LEFT JOIN station_span ON station_span.station = known.station AND started_at >= from_at AND started_at < until_at
