-- The badges of the log under way, as written.
-- Gives: badge varchar.
SELECT DISTINCT badge FROM log_stage WHERE badge IS NOT NULL AND state IS DISTINCT FROM 'preamble'
UNION
SELECT badge FROM log_session_stage WHERE badge IS NOT NULL;
