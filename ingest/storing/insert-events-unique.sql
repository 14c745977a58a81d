-- Stores the good events of the log, signs of life left out, where none is a duplicate: badges as they are stored.
-- $reading id · $line_offset added to line numbers · $first_row rowid of the log's first row, as text.
INSERT INTO event (reading_id, line, occurred_at, early_at, late_at, station, kind, badge, sequence, detail, repair, original, anchor, unset_stamp)
SELECT $reading::INTEGER, coalesce(s.line, s.rowid - $first_row::BIGINT + 1) + $line_offset, s.occurred_at, s.early_at, s.late_at,
  s.station, s.kind, b.stored, s.sequence, s.detail, s.repair,
  CASE WHEN s.repair IS NULL THEN NULL WHEN s.badge IS NULL OR b.stored = s.badge THEN s.text ELSE replace(s.text, s.badge, b.stored) END,
  s.anchor, CASE WHEN s.anchor IS NULL THEN NULL ELSE s.stamp END
FROM log_stage AS s LEFT JOIN log_badge AS b ON b.badge = s.badge
WHERE s.state IS NULL AND s.kind <> 'alive';
