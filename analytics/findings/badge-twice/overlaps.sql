-- Pairs of sessions of one badge at two stations that certainly overlapped by more than the slack: the earlier one's end was seen, or
-- can't have been earlier.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $slack_seconds double
-- $exempt JSON list of pairs of stations.
-- Gives: badge, station, machine, "machineName" (of the later), "otherStation", "otherName" varchar, "from", "until" timestamptz,
-- "isEndSeen" boolean (of both), "startsApart" double (seconds).
WITH known AS MATERIALIZED (
  SELECT session_id, badge, station, machine, started_at, least(end_low, $as_of::timestamptz) AS end_low, ended_at, end_high
  FROM session
  WHERE badge IS NOT NULL AND started_at <= $as_of::timestamptz
    AND ($until::timestamptz IS NULL OR started_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR end_high > $since::timestamptz - INTERVAL 1 DAY)
),
-- Whoever overlaps anything overlaps the longest so far.
later AS MATERIALIZED (
  SELECT *
  FROM known
  QUALIFY started_at + to_seconds($slack_seconds) < max(end_low) OVER (PARTITION BY badge ORDER BY started_at, session_id ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
),
exempt AS (
  SELECT pair[1] AS one, pair[2] AS other FROM (SELECT unnest(from_json($exempt, '[["VARCHAR"]]')) AS pair)
)
SELECT
  l.badge,
  l.station,
  l.machine,
  coalesce(m.name, l.machine) AS "machineName",
  e.station AS "otherStation",
  coalesce(n.name, e.machine) AS "otherName",
  l.started_at AS "from",
  least(l.end_low, e.end_low) AS "until",
  l.ended_at IS NOT NULL AND e.ended_at IS NOT NULL AS "isEndSeen",
  (epoch_us(l.started_at) - epoch_us(e.started_at)) / 1e6 AS "startsApart"
FROM later l
JOIN known e ON e.badge = l.badge AND e.station <> l.station
  AND (e.started_at, e.session_id) < (l.started_at, l.session_id)
  AND least(e.end_low, l.end_low) > l.started_at + to_seconds($slack_seconds)
LEFT JOIN machine m ON m.machine = l.machine
LEFT JOIN machine n ON n.machine = e.machine
WHERE NOT EXISTS (SELECT 1 FROM exempt x WHERE (x.one, x.other) IN ((l.station, e.station), (e.station, l.station)))
  AND ($since::timestamptz IS NULL OR least(l.end_low, e.end_low) > $since::timestamptz)
ORDER BY l.started_at, l.station, e.started_at;
