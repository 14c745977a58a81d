-- A row of a log of sessions from before the walk. $station varchar, $started timestamptz. Reads whole_stretch. Adds to stretch.
INSERT INTO stretch SELECT * FROM whole_stretch WHERE started_at = $started::timestamptz AND station = $station::varchar
