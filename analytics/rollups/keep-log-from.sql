-- Notes the log's first instant that the roll-ups know.
-- $log_from varchar.
INSERT OR REPLACE INTO meta VALUES ('rollup_log_from', $log_from);
