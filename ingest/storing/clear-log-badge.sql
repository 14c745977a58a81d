-- Empties the scratch table log_badge.
CREATE OR REPLACE TABLE log_badge AS SELECT * FROM log_badge LIMIT 0;
