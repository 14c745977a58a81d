-- Adds to hours_part the sessions that may still be running at the as-of time, by machine and bucket of their start.
-- $by varchar · $from, $until timestamptz: the span · $machine varchar, null = all · $as_of timestamptz · $zone IANA name ·
-- $open_from timestamptz: no session that is still open ends before this (-infinity where that is not known).
INSERT INTO hours_part BY NAME
SELECT
  machine,
  CASE $by
    WHEN 'day' THEN date_trunc('day', timezone($zone, started_at))
    WHEN 'week' THEN date_trunc('week', timezone($zone, started_at))
    WHEN 'month' THEN date_trunc('month', timezone($zone, started_at))
  END::timestamp AS bucket,
  CASE
    WHEN $by = 'hour-of-week' THEN ((isodow(timezone($zone, started_at)) - 1) * 24 + hour(timezone($zone, started_at)))::integer
  END AS hour_of_week,
  count(*)::integer AS open_sessions
FROM session
WHERE end_high >= least($open_from::timestamptz, $as_of::timestamptz)
  AND (ended = 'open' OR end_high > $as_of::timestamptz)
  AND started_at >= $from::timestamptz AND started_at < $until::timestamptz
  AND ($machine::varchar IS NULL OR machine = $machine::varchar)
GROUP BY ALL;
