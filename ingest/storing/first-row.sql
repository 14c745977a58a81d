-- The rowid of the log's first row, as text: it is beyond what a double holds.
-- Gives: first_row varchar, dropped double (rows found to be duplicates), renamed boolean (whether a badge is stored otherwise than written).
SELECT (SELECT min(rowid) FROM log_stage)::VARCHAR AS first_row, (SELECT count(*) FROM log_drop)::DOUBLE AS dropped,
  EXISTS (SELECT 1 FROM log_badge WHERE badge <> stored) AS renamed;
