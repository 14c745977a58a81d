-- The first instant of the log, of any kind.
-- Gives: log_from varchar (timestamptz), null where nothing is stored.
SELECT min(first_at)::varchar AS log_from
FROM (
  SELECT min(occurred_at) AS first_at FROM event
  UNION ALL
  SELECT min(started_at) FROM session
  UNION ALL
  SELECT min(started_at) FROM motor
  UNION ALL
  SELECT min(first_at) FROM alive_stretch
);
