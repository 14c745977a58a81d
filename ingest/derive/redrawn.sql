-- Kept sessions to be drawn anew because the reference of their machine is another now; those that ran until their cause struck
-- need none. Reads session, cause, reference, reference_before. Adds to judged.
INSERT INTO judged
SELECT session_id, machine, station, badge, started_at, starts, NULL, end_high, ended, end_low, end_high, session.cause_id, false
FROM session LEFT JOIN cause ON cause.cause_id = session.cause_id
WHERE end_draws IS NOT NULL AND NOT coalesce(end_low >= from_low, false)
  AND session_id NOT IN (SELECT session_id FROM judged)
  AND machine IN (
    SELECT machine FROM reference LEFT JOIN reference_before USING (machine)
    WHERE reference.lengths IS DISTINCT FROM reference_before.lengths OR reference.odds IS DISTINCT FROM reference_before.odds
      OR reference.pauses IS DISTINCT FROM reference_before.pauses)
