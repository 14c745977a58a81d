-- Finds the rows of the log whose event is stored already, in whatever file it came. Only the span of the log is looked at.
-- $from, $until timestamptz: first and last stamp of the log's good rows.
-- Fills log_drop.
INSERT INTO log_drop
SELECT DISTINCT s.rowid
FROM log_stage AS s LEFT JOIN log_badge AS b ON b.badge = s.badge
JOIN event AS e ON e.occurred_at = s.occurred_at AND e.station = s.station AND e.kind = s.kind
  AND e.badge IS NOT DISTINCT FROM b.stored AND e.sequence IS NOT DISTINCT FROM s.sequence AND e.detail IS NOT DISTINCT FROM s.detail
WHERE s.state IS NULL AND s.kind <> 'alive' AND s.anchor IS NULL AND e.anchor IS NULL
  AND e.occurred_at >= $from::TIMESTAMPTZ AND e.occurred_at <= $until::TIMESTAMPTZ
  AND s.rowid NOT IN (SELECT row_number FROM log_drop);
