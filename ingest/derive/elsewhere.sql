-- Sessions of a log in which a badge's stretch at a station ends where the badge is read next; many may be at one station.
-- $as_of, $since timestamptz. Reads event, reading_mode, station_span. Adds to found.
INSERT INTO found
WITH heard AS (
  SELECT station, badge, kind, occurred_at, early_at, late_at, event.reading_id, sequence, first_at, line
  FROM event JOIN reading_mode USING (reading_id)
  WHERE mode = 'elsewhere' AND kind IN ('enable', 'release') AND badge IS NOT NULL
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
), told AS (
  -- Read again at the same station, it is still the same stretch.
  SELECT * FROM heard
  WINDOW badge_order AS (PARTITION BY badge ORDER BY occurred_at, first_at, reading_id, sequence NULLS FIRST, line)
  QUALIFY kind = 'release' OR NOT coalesce(
    lag(kind) OVER badge_order = 'enable' AND lag(station) OVER badge_order = station, false)
), moved AS (
  SELECT *, lead(occurred_at) OVER badge_order AS next_at, lead(early_at) OVER badge_order AS next_early_at,
    lead(late_at) OVER badge_order AS next_late_at
  FROM told
  WINDOW badge_order AS (PARTITION BY badge ORDER BY occurred_at, first_at, reading_id, sequence NULLS FIRST, line)
  QUALIFY kind = 'enable'
)
SELECT
  (md5_number_lower(concat_ws('|', moved.station, epoch_us(occurred_at), badge)) >> 1)::bigint,
  coalesce(machine, concat('station:', moved.station)),
  moved.station, badge, occurred_at, 1, early_at, late_at,
  CASE WHEN next_at IS NOT NULL THEN 'release' END, next_at, next_early_at, next_late_at
FROM moved
LEFT JOIN station_span ON station_span.station = moved.station AND occurred_at >= from_at AND occurred_at < until_at
