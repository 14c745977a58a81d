-- Each closing of a circuit and each boot, with what its station logged just before and just after: one pass over the log.
-- $as_of, $since timestamptz: lines outside are not known. Reads working table reading_mode.
-- Makes walked: a row for each enable or boot: station, n (order at the station), kind, badge, occurred_at, early_at, late_at;
-- before_… the line before, before2_… the one before that, next_… and next2_… the lines behind; tied = order unsure because
-- two readings logged it at the same instant; stray = followed by the release of another badge.
CREATE OR REPLACE TEMP TABLE walked AS
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
  coalesce(
    (before_at = occurred_at AND lag(reading_id) OVER line_order <> reading_id)
    OR (next_at = occurred_at AND lead(reading_id) OVER line_order <> reading_id), false) AS tied,
  coalesce(kind = 'enable' AND next_kind = 'release' AND next_badge <> badge, false) AS stray
FROM event
WHERE kind IN ('enable', 'release', 'boot')
  AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
  AND reading_id NOT IN (SELECT reading_id FROM reading_mode WHERE mode <> 'station')
WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_id, line)
QUALIFY kind <> 'release'
