-- Stores the good events of the log, signs of life left out, where none is a duplicate and badges are kept as written: no join, so
-- that rows go in as they lie, in the order of lines.
-- $reading id · $line_offset added to line numbers · $first_row rowid of the log's first row, as text.
INSERT INTO event (reading_id, line, occurred_at, early_at, late_at, station, kind, badge, sequence, detail, repair, original, anchor, unset_stamp)
SELECT $reading::INTEGER, coalesce(line, rowid - $first_row::BIGINT + 1) + $line_offset, occurred_at, early_at, late_at,
  station, kind, badge, sequence, detail, repair, CASE WHEN repair IS NOT NULL THEN text END, anchor, CASE WHEN anchor IS NOT NULL THEN stamp END
FROM log_stage
WHERE state IS NULL AND kind <> 'alive';
