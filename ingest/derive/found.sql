-- Sessions as they follow from each station's own lines: start, closings, and what came next.
-- $since timestamptz: start of what was walked. Reads working tables walked, station_span.
-- Makes found: session_id, machine, station, badge, started_at, starts, early_at, late_at (of the start); closer = release,
-- enable, boot or null; closer_at, closer_early_at, closer_late_at.
CREATE OR REPLACE TEMP TABLE found AS
WITH enabled AS (
  SELECT *,
    -- A contact that bounces: the same badge again within two seconds is still the same session.
    coalesce(occurred_at - before_at <= INTERVAL 2 SECOND AND (
      (before_kind = 'enable' AND before_badge IS NOT DISTINCT FROM badge)
      OR (before_kind = 'release' AND before2_kind = 'enable' AND before2_badge IS NOT DISTINCT FROM badge
          AND coalesce(before_badge = badge, true))), false) AS again,
    coalesce(
      (next_kind = 'enable' AND next_badge IS NOT DISTINCT FROM badge AND next_at - occurred_at <= INTERVAL 2 SECOND)
      OR (next_kind = 'release' AND coalesce(next_badge = badge, true) AND next2_kind = 'enable'
          AND next2_badge IS NOT DISTINCT FROM badge AND next2_at - next_at <= INTERVAL 2 SECOND), false) AS again_next
  FROM walked
  WHERE kind = 'enable'
), bounced AS (
  SELECT *, count_if(NOT again) OVER (PARTITION BY station ORDER BY n) AS spell
  FROM enabled
  WHERE again OR again_next
), own AS (
  SELECT station, badge, occurred_at AS started_at, 1 AS starts, early_at, late_at,
    next_kind AS closer, next_at AS closer_at, next_early_at AS closer_early_at, next_late_at AS closer_late_at
  FROM enabled
  WHERE NOT again AND NOT again_next
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
