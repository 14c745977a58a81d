-- Whether the badge that came next where an end was not heard was the session's own.
-- Reads judged, whole_event. Makes followed: session_id, next_badge (same, other; any where nobody can tell).
CREATE OR REPLACE TEMP TABLE followed AS
WITH wanted AS MATERIALIZED (
  SELECT session_id, station, badge, end_high FROM judged WHERE ended IN ('superseded', 'lost')
), next AS MATERIALIZED (
  SELECT station, occurred_at, badge
  FROM whole_event
  WHERE kind = 'enable' AND occurred_at IN (SELECT end_high FROM wanted)
)
SELECT session_id,
  CASE bool_or(next.badge = wanted.badge) WHEN true THEN 'same' WHEN false THEN 'other' ELSE 'any' END AS next_badge
FROM wanted LEFT JOIN next ON next.station = wanted.station AND next.occurred_at = wanted.end_high
GROUP BY session_id
