-- Empties the scratch table log_changing.
CREATE OR REPLACE TABLE log_changing AS SELECT * FROM log_changing LIMIT 0;
