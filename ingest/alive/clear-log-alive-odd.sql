-- Empties the scratch table log_alive_odd.
CREATE OR REPLACE TABLE log_alive_odd AS SELECT * FROM log_alive_odd LIMIT 0;
