-- The ladder of every group, room and the shop, from the slots worked out and the roll-ups of whole days between.
-- $day_from, $day_until timestamp: the days taken from the roll-ups, null = none.
-- Gives: scope varchar (group, room, shop), id varchar, in_use integer, open_hours, full_hours double.
SELECT scope, id, in_use, sum(open_seconds) / 3600 AS open_hours, sum(full_seconds) / 3600 AS full_hours
FROM (
  SELECT scope, id, in_use, open_seconds, full_seconds FROM occupancy_ladder
  UNION ALL
  SELECT scope, id, in_use, open_seconds, full_seconds
  FROM rollup_ladder
  WHERE label >= $day_from::timestamp AND label < $day_until::timestamp
)
GROUP BY scope, id, in_use
ORDER BY scope, id, in_use;
