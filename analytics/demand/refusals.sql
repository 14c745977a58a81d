-- Refused badges by machine and local month: how often, and how many persons (a badge that the roster doesn't know counts as one).
-- $since, $until timestamptz, null = as far as the log goes · $as_of timestamptz · $zone IANA name.
-- Gives: machine varchar, month date, refusals, members integer.
WITH refused AS (
  SELECT m.machine, e.badge, e.line, timezone($zone, e.occurred_at)::date AS day
  FROM event e
  JOIN machine_station m ON m.station = e.station AND e.occurred_at >= m.from_at AND e.occurred_at < m.until_at
  WHERE e.kind = 'refuse'
    AND e.occurred_at <= $as_of::timestamptz
    AND e.occurred_at >= coalesce($since::timestamptz, '-infinity'::timestamptz)
    AND e.occurred_at < coalesce($until::timestamptz, 'infinity'::timestamptz)
)
SELECT
  r.machine,
  date_trunc('month', r.day)::date AS month,
  count(*)::integer AS refusals,
  count(DISTINCT coalesce(h.person, 'badge:' || r.badge, 'line:' || r.line))::integer AS members
FROM refused r
LEFT JOIN badge_holder h ON h.badge = r.badge AND r.day >= h.from_day AND r.day < h.until_day
GROUP BY r.machine, date_trunc('month', r.day)
ORDER BY r.machine, month;
