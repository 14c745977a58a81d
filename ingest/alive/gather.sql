-- The log's signs of life on whole seconds and with no more to tell than a sequence number, each once.
-- Makes log_alive: station, hour_at, second of the hour, sequence.
CREATE OR REPLACE TABLE log_alive AS
SELECT DISTINCT station, make_timestamptz(epoch_us(occurred_at) // 3600000000 * 3600000000) AS hour_at,
  (epoch_us(occurred_at) // 1000000 % 3600)::USMALLINT AS second, sequence
FROM log_stage
WHERE state IS NULL AND kind = 'alive' AND epoch_us(occurred_at) % 1000000 = 0 AND badge IS NULL AND detail IS NULL AND anchor IS NULL;
