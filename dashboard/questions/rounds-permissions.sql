-- Permissions that end soon, or ended within the last days and have no later one of the same person.
-- $today, $soon, $lately varchar (YYYY-MM-DD).
-- Gives: name varchar (the person where no name is given), role varchar, machines varchar (JSON list), validUntil varchar (YYYY-MM-DD),
-- isOver boolean.
SELECT
  coalesce(r.name, r.person) AS "name",
  r.role AS "role",
  r.machines AS "machines",
  strftime(max(r.valid_until), '%Y-%m-%d') AS "validUntil",
  max(r.valid_until) < $today::date AS "isOver"
FROM roster AS r
WHERE r.valid_until BETWEEN $lately::date AND $soon::date
  AND NOT EXISTS (
    SELECT 1
    FROM roster AS l
    WHERE l.person = r.person AND l.machines = r.machines AND (l.valid_until IS NULL OR l.valid_until > $soon::date)
  )
GROUP BY coalesce(r.name, r.person), r.role, r.machines
ORDER BY max(r.valid_until), "name";
