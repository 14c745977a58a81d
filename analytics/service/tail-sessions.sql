-- Makes the temporary table service_session: the sessions that can reach beyond a moment, a driven machine's run-on included.
-- $from timestamptz.
CREATE OR REPLACE TEMP TABLE service_session AS
SELECT s.* FROM session AS s
WHERE s.started_at >= $from::timestamptz - INTERVAL 1 DAY
  OR s.end_high > $from::timestamptz - INTERVAL 1 DAY - to_seconds((SELECT coalesce(sum(run_on_seconds), 0) FROM machine));
