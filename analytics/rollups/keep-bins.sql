-- Notes what the sessions and motor events are of which the roll-ups were made.
INSERT INTO rollup_bin
SELECT bin, (sum(part) % 9223372036854775807)::ubigint AS checksum, max(reach) AS reach
FROM (
  SELECT
    epoch_us(started_at) // 2592000000000 AS bin,
    hash(session_id, machine, badge, started_at, ended_at, ended, end_best, end_high, starts, end_draws)::hugeint AS part,
    greatest(end_high, ended_at, end_best, started_at + to_microseconds((list_max(end_draws) * 1e6)::bigint)) AS reach
  FROM session
  UNION ALL
  SELECT
    epoch_us(started_at) // 2592000000000,
    hash(machine, station, started_at, stopped_at, stop_low, stop_best, stop_high)::hugeint,
    greatest(stop_high, stopped_at)
  FROM motor
)
GROUP BY bin;
