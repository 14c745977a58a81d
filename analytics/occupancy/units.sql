-- The groups, rooms and the shop with how many units each had within the span, in the order of the workshop file; stations that
-- no machine claims come last, each its own group, and are no units of the shop. With them the span's open hours.
-- $from, $until timestamptz: the span, until excluded · $unlisted varchar, JSON list of groups seen in it (those of the workshop file are not taken from here).
-- Gives: scope varchar (group, room, shop), id varchar, units integer, open_hours double.
WITH unit AS (
  SELECT ordinal, machine, group_id, room, true AS is_listed
  FROM machine
  WHERE kind = 'stations' AND coalesce(from_at, '-infinity'::timestamptz) < $until::timestamptz
    AND coalesce(until_at, 'infinity'::timestamptz) > $from::timestamptz
  UNION ALL
  SELECT NULL, u->>'$', u->>'$', NULL, false
  FROM (SELECT unnest($unlisted::json[]) AS u)
  WHERE u->>'$' NOT IN (SELECT group_id FROM machine)
),
scoped AS (
  SELECT 'group' AS scope, group_id AS id, ordinal, 1 AS units FROM unit
  UNION ALL
  SELECT 'room', room, ordinal, 1 FROM unit WHERE room IS NOT NULL
  UNION ALL
  SELECT 'shop', 'shop', ordinal, is_listed::int FROM unit
),
open_time AS (
  SELECT coalesce(
    CASE
      WHEN EXISTS (FROM opening) THEN (
        SELECT sum((epoch_us(least(until_at, $until::timestamptz)) - epoch_us(greatest(from_at, $from::timestamptz)))) / 3.6e9
        FROM opening
        WHERE from_at < $until::timestamptz AND until_at > $from::timestamptz
      )
      ELSE greatest(0, (epoch_us($until::timestamptz) - epoch_us($from::timestamptz))) / 3.6e9
    END,
    0
  ) AS open_hours
)
SELECT scope, id, sum(units)::integer AS units, any_value(open_hours) AS open_hours
FROM scoped, open_time
GROUP BY scope, id
ORDER BY scope, min(ordinal) NULLS LAST, id;
