-- The lines that were not understood, each place once.
-- $limit rows at most.
-- Gives: file varchar, line double, text, reason, field varchar.
SELECT file, line::DOUBLE AS line, text, reason, field FROM reject ORDER BY file, line LIMIT $limit;
