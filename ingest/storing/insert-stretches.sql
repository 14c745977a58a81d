-- Stores the good rows of a log of sessions, duplicates left out.
-- $reading id · $line_offset added to line numbers.
INSERT INTO stretch (reading_id, line, station, badge, started_at, finished_at, sequence, detail, repair, original)
SELECT $reading::INTEGER, s.line + $line_offset, s.station, b.stored, s.started_at, s.finished_at, s.sequence, s.detail, s.repair,
  CASE WHEN s.repair IS NULL THEN NULL WHEN s.badge IS NULL OR b.stored = s.badge THEN s.text ELSE replace(s.text, s.badge, b.stored) END
FROM log_session_stage AS s LEFT JOIN log_badge AS b ON b.badge = s.badge
WHERE s.state IS NULL AND NOT EXISTS (SELECT 1 FROM log_drop WHERE row_number = s.rowid)
ORDER BY s.line;
