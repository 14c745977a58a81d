-- Makes the temporary table service_session: the sessions that can reach beyond a moment, a driven machine's run-on included. In two
-- parts, since a scan leaves out what lies before a moment only where nothing else will do.
-- $from timestamptz.
CREATE OR REPLACE TEMP TABLE service_session AS
SELECT * FROM session WHERE started_at >= $from::timestamptz - INTERVAL 1 DAY
UNION ALL
SELECT * FROM session
WHERE end_high > $from::timestamptz - INTERVAL 1 DAY - to_seconds((SELECT coalesce(sum(run_on_seconds), 0) FROM machine))
  AND started_at < $from::timestamptz - INTERVAL 1 DAY;
