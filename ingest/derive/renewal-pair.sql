-- The lines before the walk of stations whose first line in it is a release: back to the last closing or boot, which tell whether the
-- release is a lone one. $walk timestamptz. Reads event, whole_event, reading_mode. Adds to event.
INSERT INTO event
WITH beheaded AS MATERIALIZED (
  SELECT station FROM (
    SELECT station, kind FROM event
    WHERE kind IN ('enable', 'release', 'boot') AND reading_id NOT IN (SELECT reading_id FROM reading_mode WHERE mode <> 'station')
    QUALIFY row_number() OVER (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_id, line) = 1
  )
  WHERE kind = 'release'
), opener AS MATERIALIZED (
  SELECT station, max(occurred_at) AS opened_at FROM whole_event
  WHERE occurred_at < $walk::timestamptz AND kind IN ('enable', 'boot') AND station IN (SELECT station FROM beheaded)
    AND reading_id NOT IN (SELECT reading_id FROM reading_mode WHERE mode <> 'station')
  GROUP BY station
)
SELECT earlier.*
FROM whole_event AS earlier JOIN opener ON opener.station = earlier.station
WHERE earlier.occurred_at >= opened_at AND earlier.occurred_at < $walk::timestamptz AND kind IN ('enable', 'release', 'boot')
