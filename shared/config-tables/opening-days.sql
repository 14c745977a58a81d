-- The local days for which opening hours are needed: from the log's first event (a year ago where there is none) to the horizon
-- after its last, or after now. A stamp far ahead of now does not stretch them.
-- $zone IANA name · $now timestamptz · $horizon_days integer.
-- Gives: first_day, last_day varchar yyyy-mm-dd.
WITH seen AS (
  SELECT min(occurred_at) AS first_at, max(occurred_at) AS last_at FROM event
  UNION ALL
  SELECT min(started_at), max(coalesce(finished_at, started_at)) FROM stretch
), span AS (
  SELECT
    coalesce(min(first_at), $now::TIMESTAMPTZ - INTERVAL 365 DAY) AS first_at,
    greatest(least(coalesce(max(last_at), $now::TIMESTAMPTZ), $now::TIMESTAMPTZ + INTERVAL 3653 DAY), $now::TIMESTAMPTZ) AS last_at
  FROM seen
)
SELECT
  (least(timezone($zone, first_at), timezone($zone, $now::TIMESTAMPTZ))::DATE - 1)::VARCHAR AS first_day,
  (timezone($zone, last_at)::DATE + $horizon_days::INTEGER)::VARCHAR AS last_day
FROM span
