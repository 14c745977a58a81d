-- Makes the temporary table demand_start: every turn wished for that began in open time, with what its group looked like just before.
-- $from timestamptz: first instant of the span.
-- Gives the table: turn integer, group_id, machine, person varchar, started_at, ended_at timestamptz, use_seconds double, sessions
-- integer, slice integer, seen varchar: free (a unit was free and nobody can have waited for it), handed (all had been taken until
-- then or shortly before), last (shortly before locking up), other (no unit was known to be in order).
CREATE OR REPLACE TEMP TABLE demand_start AS
SELECT
  t.turn,
  t.group_id,
  t.machine,
  t.person,
  t.started_at,
  t.ended_at,
  t.use_seconds,
  t.sessions,
  l.slice,
  CASE
    WHEN s.is_last THEN 'last'
    WHEN l.slice_before = 0 THEN 'free'
    WHEN l.fit_before <= 0 THEN 'other'
    WHEN l.free_before <= 0 OR l.held_before THEN 'handed'
    ELSE 'free'
  END AS seen
FROM demand_turn t
JOIN demand_line l ON l.group_id = t.group_id AND l.at_time = t.started_at
JOIN demand_slice s ON s.slice = l.slice
WHERE t.is_wish AND t.started_at >= $from::timestamptz;
