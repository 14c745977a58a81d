-- The log's first instant that the roll-ups know.
-- Gives one row or none: log_from varchar.
SELECT value AS log_from FROM meta WHERE key = 'rollup_log_from';
