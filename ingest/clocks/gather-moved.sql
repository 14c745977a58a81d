-- Stored events of an unset clock that the log has again: where they lie now.
-- Makes log_moved: row_number of the staged row, event_row, occurred_at, early_at, late_at, old_at, station, is_better.
CREATE OR REPLACE TABLE log_moved AS
SELECT s.rowid AS row_number, e.rowid AS event_row, s.occurred_at, s.early_at, s.late_at, e.occurred_at AS old_at, e.station, s.repair,
  s.late_at < e.late_at OR s.early_at > e.early_at AS is_better
FROM log_stage AS s LEFT JOIN log_badge AS b ON b.badge = s.badge
JOIN event AS e ON e.anchor = s.anchor AND e.unset_stamp = s.stamp AND e.station = s.station AND e.kind = s.kind
  AND e.badge IS NOT DISTINCT FROM b.stored AND e.sequence IS NOT DISTINCT FROM s.sequence AND e.detail IS NOT DISTINCT FROM s.detail
WHERE s.state IS NULL AND s.anchor IS NOT NULL AND s.kind <> 'alive';
