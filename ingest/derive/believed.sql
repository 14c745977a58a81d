-- The lines of the stations that need care: releases of a badge that is not in the holder are left out, and lines that two
-- readings logged at one instant stand in the order in which the readings began.
-- $as_of, $since timestamptz as in walk.sql. Reads event, reading_mode, careful_station. Adds to believed.
INSERT INTO believed
SELECT station, kind, badge, occurred_at, early_at, late_at, sequence, 0,
  row_number() OVER (ORDER BY station, occurred_at, first_at NULLS FIRST, reading_id, line)
FROM (
  SELECT event.*, first_at,
    last_value(CASE WHEN kind <> 'release' THEN {kind: kind, badge: badge} END IGNORE NULLS)
      OVER (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, first_at NULLS FIRST, reading_id, line
            ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS opener
  FROM event LEFT JOIN reading_mode USING (reading_id)
  WHERE kind IN ('enable', 'release', 'boot')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
    AND coalesce(mode, 'station') = 'station'
    AND station IN (SELECT station FROM careful_station)
)
WHERE kind <> 'release' OR NOT coalesce(opener.kind = 'enable' AND opener.badge <> badge, false)
