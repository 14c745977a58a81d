-- Empties the scratch table log_session_stage.
CREATE OR REPLACE TABLE log_session_stage AS SELECT * FROM log_session_stage LIMIT 0;
