-- The staged rows that need a text which was not kept.
-- Gives: row_number double, from 0.
SELECT (rowid - (SELECT min(rowid) FROM log_stage))::DOUBLE AS row_number
FROM log_stage WHERE text IS NULL AND (repair IS NOT NULL OR state IN ('gap', 'twice', 'unset'));
