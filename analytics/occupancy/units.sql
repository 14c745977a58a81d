-- The groups, rooms and the shop with how many units each had within the span, in the order of the workshop file; stations that
-- no machine claims come last, each its own group.
-- $from, $until timestamptz: the span, until excluded.
-- Gives: scope varchar (group, room, shop), id varchar, units integer.
WITH unit AS (
  SELECT ordinal, machine, group_id, room
  FROM machine
  WHERE kind = 'stations' AND coalesce(from_at, '-infinity'::timestamptz) < $until::timestamptz
    AND coalesce(until_at, 'infinity'::timestamptz) > $from::timestamptz
  UNION ALL
  SELECT DISTINCT NULL::integer, machine, machine, NULL
  FROM session
  WHERE started_at < $until::timestamptz AND end_best > $from::timestamptz AND machine NOT IN (SELECT machine FROM machine)
),
scoped AS (
  SELECT 'group' AS scope, group_id AS id, machine, ordinal FROM unit
  UNION ALL
  SELECT 'room', room, machine, ordinal FROM unit WHERE room IS NOT NULL
  UNION ALL
  SELECT 'shop', 'shop', machine, ordinal FROM unit
)
SELECT scope, id, count(*)::integer AS units
FROM scoped
GROUP BY scope, id
ORDER BY scope, min(ordinal) NULLS LAST, id;
