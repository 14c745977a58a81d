-- Empties the scratch table log_alive.
CREATE OR REPLACE TABLE log_alive AS SELECT * FROM log_alive LIMIT 0;
