-- Adds to hours_stretch the sessions of machines with stations in many small windows at once: as the question of one window, but by a
-- join on days counted in UTC. Windows must not overlap.
-- $windows varchar, JSON list of {"from","until"} · $machines varchar, JSON list, null = all · $asked varchar, the machine whose hours
-- are wanted, null = all; those of the others only feed the ones they drive · $margin_seconds double: sessions that ended up to so
-- long before a window come along, for the run-on of driven machines · $as_of timestamptz.
INSERT INTO hours_stretch
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at FROM (SELECT unnest($windows::json[]) AS w)
),
span_day AS (
  SELECT
    from_at,
    until_at,
    unnest(range((epoch_us(from_at) - ($margin_seconds * 1e6)::bigint) // 86400000000, epoch_us(until_at) // 86400000000 + 1)) AS day
  FROM span
),
known AS (
  SELECT
    s.machine,
    s.badge,
    s.started_at,
    coalesce(s.ended_at, s.end_best) AS best_at,
    CASE
      WHEN s.end_draws IS NULL THEN coalesce(s.ended_at, s.end_best)
      ELSE s.started_at + to_microseconds((list_max(s.end_draws) * 1e6)::bigint)
    END AS last_at,
    s.end_high,
    s.end_draws,
    s.starts,
    unnest(range(epoch_us(s.started_at) // 86400000000, epoch_us(s.end_high) // 86400000000 + 1)) AS day
  FROM session s
  WHERE ($machines::varchar IS NULL OR s.machine IN (SELECT unnest($machines::varchar::varchar[])))
    AND s.machine NOT IN (SELECT machine FROM machine WHERE kind <> 'stations')
),
met AS (
  -- A session and a window may share several days; they meet on the first of them.
  SELECT k.*, w.from_at, w.until_at
  FROM known AS k
  JOIN span_day AS w ON w.day = k.day
  WHERE k.started_at < w.until_at
    AND k.end_high >= w.from_at - to_microseconds(($margin_seconds * 1e6)::bigint)
    AND k.day = greatest(
      epoch_us(k.started_at) // 86400000000,
      (epoch_us(w.from_at) - ($margin_seconds * 1e6)::bigint) // 86400000000
    )
)
SELECT
  machine,
  CASE WHEN $asked::varchar IS NULL OR machine = $asked::varchar THEN 'enabled' ELSE 'feed' END AS measure,
  1::double AS weight,
  greatest(started_at, from_at) AS from_at,
  greatest(started_at, from_at, least(last_at, until_at, $as_of::timestamptz)) AS until_at,
  started_at AS base_at,
  best_at,
  end_draws AS draws,
  badge,
  (started_at >= from_at)::integer AS sessions,
  CASE WHEN started_at >= from_at THEN starts ELSE 0 END AS starts,
  from_at,
  until_at
FROM met;
