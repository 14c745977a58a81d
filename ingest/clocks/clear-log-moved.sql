-- Empties the scratch table log_moved.
CREATE OR REPLACE TABLE log_moved AS SELECT * FROM log_moved LIMIT 0;
