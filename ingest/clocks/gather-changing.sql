-- The staged rows with a local stamp in an hour that a change of offset repeats or leaves out.
-- $zone IANA name · $from, $until timestamptz: first and last stamp of the log's good rows.
-- Makes log_changing: row_number, stamp, station, sequence, change_at, before_seconds, after_seconds.
CREATE OR REPLACE TABLE log_changing AS
WITH changes AS (
  SELECT DISTINCT unnest([epoch_us(from_at) // 86400000000, epoch_us(until_at) // 86400000000]) AS day, from_at, until_at, before_seconds, after_seconds
  FROM zone_change
  WHERE zone = $zone AND until_at >= $from::TIMESTAMPTZ AND from_at <= $until::TIMESTAMPTZ
)
SELECT s.rowid AS row_number, s.stamp, s.station, s.sequence, c.from_at AS change_at, c.before_seconds, c.after_seconds
FROM log_stage AS s JOIN changes AS c ON c.day = epoch_us(s.occurred_at) // 86400000000 AND s.occurred_at >= c.from_at AND s.occurred_at < c.until_at
WHERE s.state IS NULL AND NOT s.absolute
  AND (c.after_seconds < c.before_seconds OR s.stamp < timezone('UTC', c.from_at) + to_seconds(c.after_seconds));
