-- Badges of the last days that the roster doesn't list; none where there is no roster.
-- $since, $until timestamptz · $zone IANA name.
-- Gives: badge varchar, sessions double, lastDay varchar (YYYY-MM-DD by the local clock).
SELECT
  s.badge AS "badge",
  count(*)::double AS "sessions",
  strftime(timezone($zone, max(s.started_at)), '%Y-%m-%d') AS "lastDay"
FROM session AS s
WHERE s.started_at >= $since::timestamptz AND s.started_at < $until::timestamptz
  AND s.badge IS NOT NULL
  AND EXISTS (SELECT 1 FROM roster)
  AND NOT EXISTS (SELECT 1 FROM roster AS r WHERE r.badge = s.badge)
GROUP BY s.badge
ORDER BY count(*) DESC, s.badge;
