-- Sessions and motor stretches begun before the walk and not known to have ended.
-- $start, $walk timestamptz. Reads session, motor. Gives: kind varchar (enable, motor-on), station varchar, started_at timestamptz,
-- session_id varchar, end_low timestamptz (both null of a motor).
SELECT 'enable' AS kind, station, started_at, session_id::varchar AS session_id, end_low
FROM session
WHERE end_high >= $start::timestamptz AND started_at < $walk::timestamptz
  AND NOT (ended = 'released' AND end_draws IS NOT NULL AND ended_at < $start::timestamptz)
UNION ALL
SELECT 'motor-on', station, started_at, NULL, NULL
FROM (
  SELECT station, started_at FROM motor WHERE started_at < $walk::timestamptz AND stop_high >= $start::timestamptz
  UNION
  SELECT station, max(started_at) FROM motor
  WHERE station IN (SELECT station FROM motor WHERE stopped_at IS NULL)
  GROUP BY station
  HAVING max(started_at) < $walk::timestamptz AND arg_max(stopped_at IS NULL, started_at)
)
ORDER BY started_at, station, kind
