-- What is kept of these badges in the tables that the rest follows from.
-- $badges JSON list of badges as stored.
-- Gives: what varchar, rows int, "firstAt", "lastAt" timestamptz.
WITH badges AS (
  SELECT unnest(from_json($badges, '["VARCHAR"]')) AS badge
)
SELECT 'events' AS "what", count(*)::int AS "rows", min(occurred_at) AS "firstAt", max(occurred_at) AS "lastAt"
FROM event WHERE badge IN (SELECT badge FROM badges)
UNION ALL
SELECT 'rows of a log of sessions', count(*)::int, min(started_at), max(coalesce(finished_at, started_at))
FROM stretch WHERE badge IN (SELECT badge FROM badges)
UNION ALL
SELECT 'signs of life with a badge', count(*)::int, min(occurred_at), max(occurred_at)
FROM alive_odd WHERE badge IN (SELECT badge FROM badges)
UNION ALL
SELECT 'sessions', count(*)::int, min(started_at), max(end_best)
FROM session WHERE badge IN (SELECT badge FROM badges)
UNION ALL
SELECT 'reviews of findings', count(*)::int, min(entered_at), max(entered_at)
FROM finding_review WHERE badge IN (SELECT badge FROM badges)
UNION ALL
SELECT 'rows of the roster', count(*)::int, min(valid_from)::timestamp AT TIME ZONE 'UTC', max(valid_until)::timestamp AT TIME ZONE 'UTC'
FROM roster WHERE badge IN (SELECT badge FROM badges);
