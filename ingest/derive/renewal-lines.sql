-- The lines to walk, in place of the log. $as_of, $walk timestamptz. Reads whole_event. Makes (temporary) event.
CREATE OR REPLACE TEMP TABLE event AS
SELECT * FROM whole_event WHERE occurred_at >= $walk::timestamptz AND occurred_at <= $as_of::timestamptz
