-- The walk again for the stations where it needs care: releases of a badge that is not in the holder are left out, and lines
-- that two readings logged at one instant stand in the order in which the readings began.
-- $as_of, $since timestamptz as in walk.sql. Reads working tables reading_mode, careful_station. Adds to walked.
INSERT INTO walked
WITH heard AS (
  SELECT event.*, coalesce(first_at, '-infinity'::timestamptz) AS reading_first_at
  FROM event LEFT JOIN reading_mode USING (reading_id)
  WHERE kind IN ('enable', 'release', 'boot')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
    AND coalesce(mode, 'station') = 'station'
    AND station IN (SELECT station FROM careful_station)
), holder AS (
  SELECT *,
    last_value(CASE WHEN kind <> 'release' THEN {kind: kind, badge: badge} END IGNORE NULLS)
      OVER (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_first_at, reading_id, line
            ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS opener
  FROM heard
), believed AS (
  SELECT * FROM holder
  WHERE kind <> 'release' OR NOT coalesce(opener.kind = 'enable' AND opener.badge <> badge, false)
)
SELECT
  station, kind, badge, occurred_at, early_at, late_at,
  row_number() OVER line_order AS n,
  lag(kind) OVER line_order AS before_kind,
  lag(badge) OVER line_order AS before_badge,
  lag(occurred_at) OVER line_order AS before_at,
  lag(kind, 2) OVER line_order AS before2_kind,
  lag(badge, 2) OVER line_order AS before2_badge,
  lead(kind) OVER line_order AS next_kind,
  lead(badge) OVER line_order AS next_badge,
  lead(occurred_at) OVER line_order AS next_at,
  lead(early_at) OVER line_order AS next_early_at,
  lead(late_at) OVER line_order AS next_late_at,
  lead(kind, 2) OVER line_order AS next2_kind,
  lead(badge, 2) OVER line_order AS next2_badge,
  lead(occurred_at, 2) OVER line_order AS next2_at,
  false AS tied,
  false AS stray
FROM believed
WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_first_at, reading_id, line)
QUALIFY kind <> 'release'
