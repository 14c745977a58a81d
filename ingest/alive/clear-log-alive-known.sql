-- Empties the scratch table log_alive_known.
CREATE OR REPLACE TABLE log_alive_known AS SELECT * FROM log_alive_known LIMIT 0;
