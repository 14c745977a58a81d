-- What the seen sessions of each machine say about length; trusted are those whose two stamps come from one clock.
-- $machines varchar: JSON list of the machines wanted, null = all. Reads session. Adds to machine_length.
INSERT INTO machine_length
WITH seen AS (
  SELECT machine, epoch_us(ended_at) - epoch_us(started_at) AS us, epoch_us(started_at) // 86400000000 AS day
  FROM session
  WHERE ended = 'released' AND end_low = end_high
    AND ($machines::varchar IS NULL OR machine IN (SELECT unnest($machines::json::varchar[])))
), by_day AS (
  SELECT machine, day, count(*) AS sessions, max(us) AS longest FROM seen GROUP BY machine, day
), total AS (
  SELECT machine, sum(sessions)::bigint AS sessions, max(longest) AS longest,
    reference_size(sum(sessions)::bigint) AS wanted
  FROM by_day GROUP BY machine
), reached AS (
  SELECT machine, day, sum(sessions) OVER (PARTITION BY machine ORDER BY day) AS reference_sessions FROM by_day
), until AS (
  SELECT machine, any_value(total.sessions) AS sessions, any_value(longest) AS longest,
    min(day) AS last_day, min(reference_sessions)::bigint AS reference_sessions
  FROM reached JOIN total USING (machine)
  WHERE reference_sessions >= wanted
  GROUP BY machine
), few AS (
  SELECT machine, list(us / 1e6 ORDER BY us) AS lengths
  FROM seen JOIN until USING (machine)
  WHERE day <= last_day AND reference_sessions <= 512
  GROUP BY machine
), bin AS (
  -- One per cent wide; sums of whole microseconds are the same in any order.
  SELECT machine, any_value(reference_sessions) AS reference_sessions, count(*) AS many, sum(us) / count(*) / 1e6 AS seconds
  FROM seen JOIN until USING (machine)
  WHERE day <= last_day AND reference_sessions > 512
  GROUP BY machine, floor(100 * ln(greatest(us, 1000)))
), reached_bin AS (
  SELECT *, sum(many) OVER (PARTITION BY machine ORDER BY seconds) AS upto FROM bin
), many AS (
  SELECT machine, list(seconds ORDER BY seconds) AS lengths
  FROM (
    SELECT machine, seconds,
      unnest(range(
        ceil(512.0 * (upto - many) / reference_sessions - 0.5)::bigint,
        ceil(512.0 * upto / reference_sessions - 0.5)::bigint)) AS place
    FROM reached_bin
  )
  GROUP BY machine
)
SELECT machine, sessions, longest / 1e6, make_timestamptz((last_day + 1) * 86400000000), reference_sessions,
  coalesce(few.lengths, many.lengths)
FROM until LEFT JOIN few USING (machine) LEFT JOIN many USING (machine)
