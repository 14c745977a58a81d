-- Sessions whose closing nobody logged, told by a lone release: as far as their own station tells. They are judged as stretches that
-- began with the release before, or with the last line up to which the counter misses no number, and ended with their own, and turned round when they are drawn.
-- $from timestamptz: those that ended before are known already. Reads walked, station_span, whole_event. Adds to unseen: closer
-- release, started_at = that line, bound_at = their own, evidence_at = as long after the former as a motor turned
-- before the latter.
INSERT INTO unseen
WITH alone AS (
  SELECT walked.station, machine, badge, before_at, occurred_at
  FROM walked
  LEFT JOIN station_span ON station_span.station = walked.station AND occurred_at >= from_at AND occurred_at < until_at
  WHERE lone AND occurred_at >= $from::timestamptz
), heard AS (
  SELECT station, occurred_at, kind, badge, sequence, NULL AS release
  FROM whole_event
  WHERE station IN (SELECT station FROM alone)
    AND occurred_at >= (SELECT min(before_at) FROM alone) AND occurred_at <= (SELECT max(occurred_at) FROM alone)
  UNION ALL
  SELECT station, occurred_at, NULL, badge, NULL, {before_at: before_at, at_time: occurred_at, badge: badge} FROM alone
), placed AS (
  -- From the release before to its own, each line by the next lone release.
  SELECT station, occurred_at, kind, badge, sequence,
    last_value(release IGNORE NULLS) OVER (PARTITION BY station ORDER BY occurred_at DESC, kind NULLS FIRST
      ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW) AS release
  FROM heard
), numbered AS (
  -- As far as the counter goes on from line to line, no closing was lost.
  SELECT *, coalesce(sequence = first_value(sequence) OVER following + row_number() OVER following - 1, false) AS is_whole
  FROM placed
  WHERE kind IS NOT NULL AND occurred_at >= release.before_at
  WINDOW following AS (PARTITION BY station, release.at_time ORDER BY occurred_at, sequence ROWS UNBOUNDED PRECEDING)
), told AS (
  SELECT station, release.at_time AS at_time,
    max(occurred_at) FILTER (is_whole) AS whole_until,
    min(occurred_at) FILTER (kind = 'motor-on' AND NOT is_whole AND occurred_at > release.before_at AND occurred_at < release.at_time) AS turned_at,
    -- A station may log that a refused badge was taken out.
    bool_or(kind = 'refuse' AND coalesce(badge = release.badge, true)) AS refused
  FROM numbered
  GROUP BY ALL
), begun AS (
  SELECT alone.*, turned_at, refused, greatest(before_at, whole_until) AS begun_at
  FROM alone LEFT JOIN told ON told.station = alone.station AND told.at_time = alone.occurred_at
)
SELECT
  (md5_number_lower(concat_ws('|', station, 'released', epoch_us(occurred_at), coalesce(badge, ''))) >> 1)::bigint,
  coalesce(machine, concat('station:', station)), station, badge, begun_at, 1, 'release', occurred_at,
  CASE WHEN turned_at IS NULL THEN begun_at ELSE make_timestamptz(epoch_us(begun_at) + epoch_us(occurred_at) - epoch_us(turned_at)) END
FROM begun
WHERE NOT coalesce(refused, false) AND begun_at < occurred_at
