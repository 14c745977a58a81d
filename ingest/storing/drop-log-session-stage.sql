-- Drops a temporary log_session_stage; the schema's own shows again.
DROP TABLE IF EXISTS temp.log_session_stage;
