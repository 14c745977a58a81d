-- How many of the new signs of life had to be repaired.
-- Gives: repaired double.
SELECT (SELECT count(*) FROM log_alive SEMI JOIN (
    SELECT station, epoch_us(occurred_at) // 1000000 AS at_second, sequence FROM log_stage WHERE state IS NULL AND kind = 'alive' AND repair IS NOT NULL
  ) AS repaired ON repaired.station = log_alive.station AND repaired.at_second = epoch_us(hour_at) // 1000000 + second
    AND repaired.sequence IS NOT DISTINCT FROM log_alive.sequence)::DOUBLE
  + (SELECT count(*) FROM log_alive_odd SEMI JOIN (
    SELECT station, occurred_at FROM log_stage WHERE state IS NULL AND kind = 'alive' AND repair IS NOT NULL
  ) AS repaired USING (station, occurred_at))::DOUBLE AS repaired;
