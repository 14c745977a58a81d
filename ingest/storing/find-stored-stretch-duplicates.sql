-- Finds the rows of a log of sessions that are stored already, in whatever file they came. Only the span of the log is looked at.
-- $from, $until timestamptz: first and last start of the log's good rows.
-- Fills log_drop.
INSERT INTO log_drop
SELECT DISTINCT s.rowid
FROM log_session_stage AS s LEFT JOIN log_badge AS b ON b.badge = s.badge
JOIN stretch AS e ON e.started_at = s.started_at AND e.station = s.station AND e.finished_at IS NOT DISTINCT FROM s.finished_at
  AND e.badge IS NOT DISTINCT FROM b.stored AND e.sequence IS NOT DISTINCT FROM s.sequence AND e.detail IS NOT DISTINCT FROM s.detail
WHERE s.state IS NULL AND e.started_at >= $from::TIMESTAMPTZ AND e.started_at <= $until::TIMESTAMPTZ
  AND s.rowid NOT IN (SELECT row_number FROM log_drop);
