-- A line from before the walk. $station varchar, $kind varchar, $started timestamptz. Reads whole_event. Adds to event.
INSERT INTO event SELECT * FROM whole_event
WHERE occurred_at = $started::timestamptz AND station = $station::varchar AND kind = $kind::varchar
