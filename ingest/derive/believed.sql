-- The lines of the stations that need care: releases of a badge that is not in the holder while another is are left out, and lines
-- that two readings logged at one instant stand in the order in which the readings began.
-- $as_of, $since timestamptz as in walk.sql. Reads event, reading_mode, careful_station. Adds to believed.
INSERT INTO believed
WITH heard AS (
  SELECT event.*, first_at,
    count_if(kind <> 'release') OVER line_order AS spell,
    row_number() OVER line_order AS n
  FROM event LEFT JOIN reading_mode USING (reading_id)
  WHERE kind IN ('enable', 'release', 'boot')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
    AND coalesce(mode, 'station') = 'station'
    AND station IN (SELECT station FROM careful_station)
  WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, first_at NULLS FIRST, reading_id, line
    ROWS UNBOUNDED PRECEDING)
), opened AS (
  SELECT *, first_value(CASE WHEN kind = 'enable' THEN badge END) OVER (PARTITION BY station, spell ORDER BY n) AS holder FROM heard
), closed AS (
  SELECT *, coalesce(bool_or(kind = 'release' AND coalesce(badge = holder, true))
    OVER (PARTITION BY station, spell ORDER BY n ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), false) AS is_closed
  FROM opened
)
SELECT station, kind, badge, occurred_at, early_at, late_at, sequence, 0,
  row_number() OVER (ORDER BY station, occurred_at, first_at NULLS FIRST, reading_id, line)
FROM closed
WHERE kind <> 'release' OR is_closed OR NOT coalesce(holder <> badge, false)
