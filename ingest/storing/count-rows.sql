-- How many rows DuckDB found in the log under way.
-- Gives: rows double.
SELECT (SELECT count(*) FROM log_stage)::DOUBLE AS rows;
