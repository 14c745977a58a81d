-- Whether the badge that came next where an end was not heard was the session's own; of a session whose start was not seen, whether
-- the one before was.
-- Reads judged, whole_event. Makes followed: session_id, next_badge (same, other; any where nobody can tell).
CREATE OR REPLACE TEMP TABLE followed AS
WITH wanted AS MATERIALIZED (
  SELECT session_id, station, badge,
    CASE WHEN ended = 'released' THEN 'release' ELSE 'enable' END AS kind,
    CASE WHEN ended = 'released' THEN started_at ELSE end_high END AS at_time
  FROM judged WHERE ended IN ('superseded', 'lost', 'released')
), next AS MATERIALIZED (
  SELECT station, occurred_at, badge, kind
  FROM whole_event
  WHERE kind IN ('enable', 'release') AND occurred_at IN (SELECT at_time FROM wanted)
)
SELECT session_id,
  CASE bool_or(next.badge = wanted.badge) WHEN true THEN 'same' WHEN false THEN 'other' ELSE 'any' END AS next_badge
FROM wanted LEFT JOIN next ON next.station = wanted.station AND next.occurred_at = wanted.at_time AND next.kind = wanted.kind
GROUP BY session_id
