-- Removes the stored hours that are about to be written anew.
-- $from, $until timestamptz: first and last stamp of the log's good rows.
DELETE FROM alive_hour
WHERE hour_at >= $from::TIMESTAMPTZ - INTERVAL 1 HOUR AND hour_at <= $until::TIMESTAMPTZ
  AND (station, hour_at, has_sequence) IN (SELECT station, hour_at, sequence IS NOT NULL FROM log_alive);
