-- Changes of settings out of hours, or by a badge that the roster doesn't know. Where the stamp is not believed, it is out of hours
-- only if all of the time in which it may have been is.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $has_hours, $has_roster boolean.
-- Gives: station, machine, "machineName" (null where no machine claims it), badge, detail varchar, "from", "until" timestamptz,
-- "isClosed", "isUnlisted" boolean.
WITH change AS MATERIALIZED (
  SELECT station, badge, detail, occurred_at, coalesce(early_at, occurred_at) AS early_at, coalesce(late_at, occurred_at) AS late_at
  FROM event
  WHERE kind = 'change' AND occurred_at <= $as_of::timestamptz
    AND ($until::timestamptz IS NULL OR occurred_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz)
),
judged AS (
  SELECT
    *,
    $has_hours AND NOT EXISTS (SELECT 1 FROM opening o WHERE o.from_at <= c.late_at AND o.until_at > c.early_at) AS is_closed,
    $has_roster AND NOT EXISTS (SELECT 1 FROM roster r WHERE r.badge = c.badge) AS is_unlisted
  FROM change c
)
SELECT
  j.station,
  m.machine,
  m.name AS "machineName",
  j.badge,
  j.detail,
  j.early_at AS "from",
  j.late_at AS "until",
  j.is_closed AS "isClosed",
  j.is_unlisted AS "isUnlisted"
FROM judged j
LEFT JOIN machine_station s ON s.station = j.station AND j.occurred_at >= s.from_at AND j.occurred_at < s.until_at
LEFT JOIN machine m ON m.machine = s.machine
WHERE j.is_closed OR j.is_unlisted
ORDER BY j.occurred_at, j.station;
