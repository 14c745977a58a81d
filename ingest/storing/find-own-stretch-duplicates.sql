-- Finds the rows of a log of sessions that say the same as an earlier row of it.
-- Fills log_drop.
INSERT INTO log_drop
SELECT rowid FROM log_session_stage
WHERE state IS NULL
QUALIFY row_number() OVER (PARTITION BY started_at, finished_at, station, badge, sequence, detail ORDER BY line) > 1;
