-- How many rows of the log are dropped as duplicates, and how many of them had been repaired.
-- Gives: duplicates, repaired double.
SELECT count(DISTINCT row_number)::DOUBLE AS duplicates,
  (SELECT (count(*) FILTER (repair IS NOT NULL))::DOUBLE FROM log_stage WHERE rowid IN (SELECT row_number FROM log_drop)) AS repaired
FROM log_drop;
