-- Sessions that certainly lasted at least as long as their machine's cut, up to the as-of time.
-- $cuts JSON list of {machine, seconds} · $history timestamptz, null = from the log's beginning · $as_of timestamptz.
-- Gives: session_id bigint, machine, station, badge varchar, "from", "until" timestamptz (the certain end), seconds double, ended
-- varchar, "isEndSeen" boolean.
WITH cut AS MATERIALIZED (
  SELECT c.machine, c.seconds
  FROM (SELECT unnest(from_json_strict($cuts, '[{"machine":"VARCHAR","seconds":"DOUBLE"}]')) AS c)
), lasting AS (
  SELECT session_id, machine, station, badge, started_at, end_low, ended, ended_at,
    (epoch_us(end_low) - epoch_us(started_at)) / 1e6 AS lasted
  FROM session
  WHERE epoch_us(end_low) - epoch_us(started_at) >= (SELECT min(seconds) FROM cut) * 1e6
    AND started_at <= $as_of::timestamptz
    AND ($history::timestamptz IS NULL OR started_at >= $history::timestamptz)
)
SELECT
  l.session_id,
  l.machine,
  l.station,
  l.badge,
  l.started_at AS "from",
  l.end_low AS "until",
  l.lasted AS seconds,
  l.ended,
  l.ended_at IS NOT NULL AND l.ended_at <= $as_of::timestamptz AS "isEndSeen"
FROM lasting AS l
JOIN cut AS c ON c.machine = l.machine AND l.lasted >= c.seconds
ORDER BY l.started_at, l.station;
