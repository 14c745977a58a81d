-- First and last good event of the whole store, and how many sessions stand in it. Of a log of sessions the last finish counts.
-- Gives: firstEvent timestamptz, lastEvent timestamptz, sessions int.
SELECT
  (SELECT min(first_at) FROM (
    SELECT min(occurred_at) AS first_at FROM event
    UNION ALL SELECT min(started_at) FROM stretch
    UNION ALL SELECT min(first_at) FROM alive_stretch)) AS "firstEvent",
  (SELECT max(last_at) FROM (
    SELECT max(occurred_at) AS last_at FROM event
    UNION ALL SELECT max(coalesce(finished_at, started_at)) FROM stretch
    UNION ALL SELECT max(last_at) FROM alive_stretch)) AS "lastEvent",
  (SELECT count(*) FROM session)::int AS "sessions";
