-- One pass over the log: each closing of a circuit, each boot and each lone release, with what its station logged just before and
-- just after.
-- $as_of, $since timestamptz: lines outside are not known. $careful boolean: of the lines in believed rather than of the log.
-- Reads event, reading_mode, believed. Adds to walked.
INSERT INTO walked
SELECT
  station,
  row_number() OVER line_order,
  kind, badge, occurred_at, early_at, late_at,
  lag(occurred_at) OVER line_order AS before_at,
  lead(kind) OVER line_order AS next_kind,
  lead(occurred_at) OVER line_order AS next_at,
  lead(early_at) OVER line_order,
  lead(late_at) OVER line_order,
  -- The same badge again within two seconds, with or without a release in between.
  kind = 'enable' AND coalesce(epoch_us(occurred_at) - epoch_us(before_at) <= 2000000 AND (
    (lag(kind) OVER line_order = 'enable' AND lag(badge) OVER line_order IS NOT DISTINCT FROM badge)
    OR (lag(kind) OVER line_order = 'release' AND lag(kind, 2) OVER line_order = 'enable' AND lag(badge, 2) OVER line_order IS NOT DISTINCT FROM badge
        AND coalesce(lag(badge) OVER line_order = badge, true))), false),
  kind = 'enable' AND coalesce(
    (next_kind = 'enable' AND lead(badge) OVER line_order IS NOT DISTINCT FROM badge AND epoch_us(next_at) - epoch_us(occurred_at) <= 2000000)
    OR (next_kind = 'release' AND coalesce(lead(badge) OVER line_order = badge, true) AND lead(kind, 2) OVER line_order = 'enable'
        AND lead(badge, 2) OVER line_order IS NOT DISTINCT FROM badge
        AND epoch_us(lead(occurred_at, 2) OVER line_order) - epoch_us(next_at) <= 2000000), false),
  NOT $careful::boolean AND coalesce(
    (before_at = occurred_at AND lag(reading_id) OVER line_order <> reading_id)
    OR (next_at = occurred_at AND lead(reading_id) OVER line_order <> reading_id), false),
  coalesce(kind = 'enable' AND next_kind = 'release' AND lead(badge) OVER line_order <> badge, false),
  kind = 'enable' AND next_kind IS NOT DISTINCT FROM 'release' AND next_at > occurred_at
    AND coalesce(before_at < occurred_at, true) AND coalesce(lead(occurred_at, 2) OVER line_order > next_at, true)
    AND early_at IS NULL AND lead(early_at) OVER line_order IS NULL,
  -- Within ten seconds it is still the release before, and where the counter goes on no line is missing; another right behind may have
  -- changed places with its closing.
  kind = 'release' AND early_at IS NULL AND lag(early_at) OVER line_order IS NULL AND coalesce(
    lag(kind) OVER line_order = 'release' AND lag(kind, 2) OVER line_order = 'enable'
    AND coalesce(lag(badge, 2) OVER line_order = lag(badge) OVER line_order, true)
    AND NOT coalesce(sequence = lag(sequence) OVER line_order + 1, false)
    AND epoch_us(occurred_at) - epoch_us(before_at) > 10000000
    AND NOT coalesce(next_kind = 'release' AND epoch_us(next_at) - epoch_us(occurred_at) <= 900000000, false), false) AS lone
FROM (
  SELECT station, kind, badge, occurred_at, early_at, late_at, sequence, reading_id, line
  FROM event
  WHERE NOT $careful::boolean AND kind IN ('enable', 'release', 'boot')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
    AND reading_id NOT IN (SELECT reading_id FROM reading_mode WHERE mode <> 'station')
  UNION ALL
  SELECT * FROM believed WHERE $careful::boolean
)
WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_id, line)
QUALIFY kind <> 'release' OR lone
