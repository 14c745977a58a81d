-- Empties the scratch table log_alive_cut.
CREATE OR REPLACE TABLE log_alive_cut AS SELECT * FROM log_alive_cut LIMIT 0;
