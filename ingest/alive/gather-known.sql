-- The stored signs of life of the hours that the log has some in, written out.
-- $from, $until timestamptz: first and last stamp of the log's good rows.
-- Makes log_alive_known.
CREATE OR REPLACE TABLE log_alive_known AS
WITH hours AS (
  SELECT DISTINCT station, hour_at, sequence IS NOT NULL AS has_sequence FROM log_alive
), stored AS (
  SELECT station, hour_at, steps, sequence_steps, has_sequence
  FROM alive_hour SEMI JOIN hours USING (station, hour_at, has_sequence)
  WHERE hour_at >= $from::TIMESTAMPTZ - INTERVAL 1 HOUR AND hour_at <= $until::TIMESTAMPTZ
), signs AS (
  SELECT station, hour_at, has_sequence, unnest(steps) AS step, unnest(sequence_steps) AS sequence_step, generate_subscripts(steps, 1) AS place
  FROM stored
)
SELECT station, hour_at,
  (sum(step) OVER (PARTITION BY station, hour_at, has_sequence ORDER BY place))::USMALLINT AS second,
  (sum(sequence_step) OVER (PARTITION BY station, hour_at, has_sequence ORDER BY place))::BIGINT AS sequence
FROM signs;
