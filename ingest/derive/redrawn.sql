-- Kept sessions to be drawn anew because the reference of their machine is another now; those that ran until their cause struck
-- need none. Reads session, cause, reference, reference_before. Adds to judged.
INSERT INTO judged
SELECT session_id, machine, station, badge, begun_at, starts, NULL, coalesce(ended_at, end_high), ended,
  make_timestamptz(epoch_us(begun_at) + epoch_us(end_low) - epoch_us(started_at)), coalesce(ended_at, end_high), session.cause_id, false
FROM (
  -- A session whose start was not seen is turned back: it begins with the release before.
  SELECT *, CASE WHEN ended_at IS NULL THEN started_at
    ELSE make_timestamptz(epoch_us(ended_at) - (epoch_us(end_high) - epoch_us(started_at))) END AS begun_at
  FROM session
) AS session LEFT JOIN cause ON cause.cause_id = session.cause_id
WHERE end_draws IS NOT NULL AND NOT coalesce(end_low >= from_low, false)
  AND session_id NOT IN (SELECT session_id FROM judged)
  AND machine IN (
    SELECT machine FROM reference LEFT JOIN reference_before USING (machine)
    WHERE reference.lengths IS DISTINCT FROM reference_before.lengths OR reference.odds IS DISTINCT FROM reference_before.odds
      OR reference.pauses IS DISTINCT FROM reference_before.pauses)
