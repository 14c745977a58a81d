-- Members who may use each group: with a badge that is valid on the day, and that names the group, one of its machines, or none.
-- $as_of timestamptz · $zone IANA name.
-- Gives: "group" varchar, members integer.
WITH valid AS (
  SELECT person, machines
  FROM roster
  WHERE role <> 'maintainer'
    AND coalesce(valid_from, DATE '-infinity') <= timezone($zone, $as_of::timestamptz)::date
    AND coalesce(valid_until, DATE 'infinity') >= timezone($zone, $as_of::timestamptz)::date
)
SELECT m.group_id AS "group", count(DISTINCT v.person)::integer AS members
FROM machine m
JOIN valid v ON v.machines = '[]'
  OR list_contains(from_json(v.machines, '["VARCHAR"]'), m.machine)
  OR list_contains(from_json(v.machines, '["VARCHAR"]'), m.group_id)
WHERE m.kind = 'stations'
GROUP BY m.group_id;
