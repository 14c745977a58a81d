-- The last instant that the log tells of: the last event or sign of life, or the last seen end of a session.
-- Gives: last_at timestamptz, null where the log is empty.
SELECT max(last_at) AS last_at
FROM (
  SELECT max(occurred_at) AS last_at FROM event
  UNION ALL
  SELECT max(last_at) FROM alive_stretch
  UNION ALL
  SELECT max(coalesce(ended_at, started_at)) FROM session
);
