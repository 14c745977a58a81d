-- Adds to hours_stretch the sessions of machines with stations in one window. Bounds are bound one by one, so that the scan itself
-- leaves out what lies outside.
-- $from, $until timestamptz: the window · $machines varchar, JSON list, null = all · $asked varchar, the machine whose hours are
-- wanted, null = all; those of the others only feed the ones they drive · $margin_seconds double: sessions that ended up to so long
-- before the window come along, for the run-on of driven machines · $as_of timestamptz.
INSERT INTO hours_stretch
WITH known AS (
  SELECT
    s.machine,
    s.badge,
    s.started_at,
    coalesce(s.ended_at, s.end_best) AS best_at,
    CASE
      WHEN s.end_draws IS NULL THEN coalesce(s.ended_at, s.end_best)
      ELSE s.started_at + to_microseconds((list_max(s.end_draws) * 1e6)::bigint)
    END AS last_at,
    s.end_draws,
    s.starts
  FROM session s
  WHERE s.started_at < $until::timestamptz
    AND s.end_high >= $from::timestamptz - to_microseconds(($margin_seconds * 1e6)::bigint)
    AND ($machines::varchar IS NULL OR s.machine IN (SELECT unnest($machines::varchar::varchar[])))
    AND s.machine NOT IN (SELECT machine FROM machine WHERE kind <> 'stations')
)
SELECT
  machine,
  CASE WHEN $asked::varchar IS NULL OR machine = $asked::varchar THEN 'enabled' ELSE 'feed' END AS measure,
  1::double AS weight,
  greatest(started_at, $from::timestamptz) AS from_at,
  greatest(started_at, $from::timestamptz, least(last_at, $until::timestamptz, $as_of::timestamptz)) AS until_at,
  started_at AS base_at,
  best_at,
  end_draws AS draws,
  badge,
  (started_at >= $from::timestamptz)::integer AS sessions,
  CASE WHEN started_at >= $from::timestamptz THEN starts ELSE 0 END AS starts,
  $from::timestamptz,
  $until::timestamptz
FROM known;
