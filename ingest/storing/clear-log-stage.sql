-- Empties the scratch table log_stage.
CREATE OR REPLACE TABLE log_stage AS SELECT * FROM log_stage LIMIT 0;
