-- Sessions whose closing nobody logged, told by a lone release: as far as their own station tells. They are judged as stretches that
-- began with the release before and ended with their own, and turned round when they are drawn.
-- $from timestamptz: those that ended before are known already. Reads walked, station_span, whole_event. Adds to unseen: closer
-- release, started_at = the release before, bound_at = their own, evidence_at = as long after the former as a motor turned
-- before the latter.
INSERT INTO unseen
WITH alone AS (
  SELECT walked.station, machine, badge, before_at, occurred_at
  FROM walked
  LEFT JOIN station_span ON station_span.station = walked.station AND occurred_at >= from_at AND occurred_at < until_at
  WHERE lone AND occurred_at >= $from::timestamptz
), heard AS (
  SELECT station, occurred_at, kind, badge, NULL AS release
  FROM whole_event
  WHERE kind IN ('motor-on', 'refuse') AND station IN (SELECT station FROM alone)
    AND occurred_at > (SELECT min(before_at) FROM alone) AND occurred_at < (SELECT max(occurred_at) FROM alone)
  UNION ALL
  SELECT station, occurred_at, NULL, badge, {before_at: before_at, at_time: occurred_at, badge: badge} FROM alone
), placed AS (
  -- What came between the two, each by the next lone release.
  SELECT station, occurred_at, kind, badge,
    last_value(release IGNORE NULLS) OVER (PARTITION BY station ORDER BY occurred_at DESC, kind NULLS FIRST
      ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW) AS release
  FROM heard
), told AS (
  SELECT station, release.at_time AS at_time,
    min(occurred_at) FILTER (kind = 'motor-on') AS turned_at,
    -- A station may log that a refused badge was taken out.
    bool_or(kind = 'refuse' AND coalesce(badge = release.badge, true)) AS refused
  FROM placed
  WHERE kind IS NOT NULL AND occurred_at > release.before_at
  GROUP BY ALL
)
SELECT
  (md5_number_lower(concat_ws('|', alone.station, 'released', epoch_us(alone.occurred_at), coalesce(badge, ''))) >> 1)::bigint,
  coalesce(machine, concat('station:', alone.station)), alone.station, badge, before_at, 1, 'release', alone.occurred_at,
  CASE WHEN turned_at IS NULL THEN before_at
    ELSE make_timestamptz(epoch_us(before_at) + epoch_us(alone.occurred_at) - epoch_us(turned_at)) END
FROM alone LEFT JOIN told ON told.station = alone.station AND told.at_time = alone.occurred_at
WHERE NOT coalesce(refused, false)
