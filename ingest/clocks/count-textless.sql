-- How many staged rows need a text that was not kept.
-- Gives: rows double.
SELECT count(*)::DOUBLE AS rows FROM log_stage WHERE text IS NULL AND (repair IS NOT NULL OR state IN ('gap', 'twice', 'unset'));
