-- Empties the scratch table log_drop.
CREATE OR REPLACE TABLE log_drop AS SELECT * FROM log_drop LIMIT 0;
