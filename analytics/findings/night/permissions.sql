-- Authorisations that end within so many days, the soonest first.
-- $today date on the workshop's calendar · $days integer · $as_of timestamptz.
-- Gives: badge, person, name, role, machines varchar (JSON list), "validUntil" varchar (yyyy-mm-dd), sessions integer (by the person,
-- of the ninety days before).
WITH ending AS (
  SELECT badge, person, name, role, machines, valid_until
  FROM roster
  WHERE valid_until >= $today::date AND valid_until < $today::date + $days::integer
), own AS (
  SELECT r.person, count(*) AS sessions
  FROM session AS s
  JOIN (SELECT DISTINCT badge, person FROM roster WHERE person IN (SELECT person FROM ending)) AS r ON r.badge = s.badge
  WHERE s.started_at > $as_of::timestamptz - INTERVAL 90 DAY AND s.started_at <= $as_of::timestamptz
  GROUP BY r.person
)
SELECT
  e.badge,
  e.person,
  e.name,
  e.role,
  e.machines,
  e.valid_until::varchar AS "validUntil",
  coalesce(o.sessions, 0)::int AS sessions
FROM ending AS e
LEFT JOIN own AS o ON o.person = e.person
ORDER BY e.valid_until, e.person, e.badge;
