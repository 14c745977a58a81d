-- How many rows of a log of sessions are dropped as duplicates, and how many of all good ones were repaired and stay.
-- Gives: duplicates, repaired double.
SELECT (SELECT count(DISTINCT row_number) FROM log_drop)::DOUBLE AS duplicates,
  (SELECT count(*) FROM log_session_stage WHERE state IS NULL AND repair IS NOT NULL AND rowid NOT IN (SELECT row_number FROM log_drop))::DOUBLE
    AS repaired;
