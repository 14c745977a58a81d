-- Makes the temporary table hours_stretch with the sessions of machines with stations, clipped to the windows. An unseen end is a
-- stretch with a draw for each joint world.
-- $windows varchar, JSON list of {"from","until"} · $machines varchar, JSON list, null = all · $asked varchar, the machine whose hours
-- are wanted, null = all; those of the others only feed the ones they drive · $margin_seconds double: sessions that ended up to so
-- long before a window come along, for the run-on of driven machines · $as_of timestamptz.
-- Gives the table: machine varchar, measure varchar (enabled, motor, factored, load; feed = not counted), weight double, from_at,
-- until_at timestamptz (clipped; of a drawn stretch the furthest), base_at timestamptz (its true start), best_at timestamptz (its
-- best end, unclipped), draws double[] (seconds after base_at; null = known), badge varchar, sessions, starts integer (where it
-- begins within the window), window_from, window_until timestamptz.
CREATE OR REPLACE TEMP TABLE hours_stretch AS
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
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
    s.end_draws,
    s.starts,
    w.from_at AS window_from,
    w.until_at AS window_until
  FROM session s
  JOIN span w ON s.started_at < w.until_at
    AND (s.started_at >= w.from_at OR s.end_high > w.from_at - to_microseconds(($margin_seconds * 1e6)::bigint))
  WHERE ($machines::varchar IS NULL OR s.machine IN (SELECT unnest($machines::varchar::varchar[])))
    AND s.machine NOT IN (SELECT machine FROM machine WHERE kind <> 'stations')
)
SELECT
  machine,
  CASE WHEN $asked::varchar IS NULL OR machine = $asked::varchar THEN 'enabled' ELSE 'feed' END AS measure,
  1::double AS weight,
  greatest(started_at, window_from) AS from_at,
  greatest(started_at, window_from, least(last_at, window_until, $as_of::timestamptz)) AS until_at,
  started_at AS base_at,
  best_at,
  end_draws AS draws,
  badge,
  (started_at >= window_from)::integer AS sessions,
  CASE WHEN started_at >= window_from THEN starts ELSE 0 END AS starts,
  window_from,
  window_until
FROM known;
