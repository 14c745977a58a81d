-- What came to and went from the seen sessions of each machine.
-- Reads old_session, window_session, machine_length. Gives: machine varchar, sessions bigint as text (now), recount boolean: its
-- lengths must be counted anew; longest_changed boolean.
WITH added AS (
  SELECT machine, session_id, started_at, epoch_us(ended_at) - epoch_us(started_at) AS us
  FROM window_session WHERE ended = 'released' AND end_low = end_high
), removed AS (
  SELECT machine, session_id, started_at, epoch_us(ended_at) - epoch_us(started_at) AS us
  FROM old_session WHERE ended = 'released' AND end_low = end_high
), change AS (
  SELECT *, 1 AS sign FROM (FROM added EXCEPT FROM removed)
  UNION ALL
  SELECT *, -1 FROM (FROM removed EXCEPT FROM added)
), change_sum AS (
  SELECT machine, sum(sign)::bigint AS more, min(started_at) AS first_at,
    max(us) FILTER (sign = 1) / 1e6 AS longest_added, max(us) FILTER (sign = -1) / 1e6 AS longest_removed
  FROM change GROUP BY machine
)
SELECT machine, (coalesce(sessions, 0) + more)::varchar AS sessions,
  coalesce(first_at < reference_until OR reference_size(sessions) <> reference_size(sessions + more), true) AS recount,
  coalesce(longest_added > longest_seconds OR longest_removed >= longest_seconds, sessions IS NULL) AS longest_changed
FROM change_sum LEFT JOIN machine_length USING (machine)
ORDER BY machine
