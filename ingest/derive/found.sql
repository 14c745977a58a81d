-- Sessions as they follow from each station's own lines: start, closings, and what came next.
-- The plain ones, which released-plainly.sql takes straight from the walk, are left out. Reads walked, station_span.
-- Makes found: session_id, machine, station, badge, started_at, starts, early_at, late_at (of the start); closer = release,
-- enable, boot or null; closer_at, closer_early_at, closer_late_at.
CREATE OR REPLACE TEMP TABLE found AS
WITH bounced AS (
  SELECT *, count_if(NOT again) OVER (PARTITION BY station ORDER BY n) AS spell
  FROM walked
  WHERE kind = 'enable' AND (again OR again_next)
), own AS (
  SELECT station, badge, occurred_at AS started_at, 1 AS starts, early_at, late_at,
    next_kind AS closer, next_at AS closer_at, next_early_at AS closer_early_at, next_late_at AS closer_late_at
  FROM walked
  WHERE kind = 'enable' AND NOT again AND NOT again_next AND NOT plain
  UNION ALL
  SELECT station, arg_min_null(badge, n), min(occurred_at), count(*), arg_min_null(early_at, n), arg_min_null(late_at, n),
    arg_max_null(next_kind, n), arg_max_null(next_at, n), arg_max_null(next_early_at, n), arg_max_null(next_late_at, n)
  FROM bounced
  GROUP BY station, spell
)
SELECT
  (md5_number_lower(concat_ws('|', own.station, epoch_us(started_at), coalesce(badge, ''))) >> 1)::bigint AS session_id,
  coalesce(machine, concat('station:', own.station)) AS machine,
  own.*
FROM own
LEFT JOIN station_span ON station_span.station = own.station AND started_at >= from_at AND started_at < until_at
