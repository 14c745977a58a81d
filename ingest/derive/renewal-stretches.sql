-- The rows of logs of sessions to read, in place of all. $as_of, $walk timestamptz. Reads whole_stretch.
-- Makes (temporary) stretch.
CREATE OR REPLACE TEMP TABLE stretch AS
SELECT * FROM whole_stretch WHERE started_at >= $walk::timestamptz AND started_at <= $as_of::timestamptz
