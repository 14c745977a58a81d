-- The peaks of every group, room and the shop, the first instant of each.
-- $day_from, $day_until timestamp: the days taken from the roll-ups, null = none.
-- Gives: scope, id, what varchar (units, people), peak integer, peak_at timestamptz.
SELECT scope, id, what, max(peak) AS peak, arg_max(peak_at, (peak, -epoch_us(peak_at))) AS peak_at
FROM (
  SELECT scope, id, what, peak, peak_at FROM occupancy_peak
  UNION ALL
  SELECT scope, id, what, peak, peak_at
  FROM rollup_peak
  WHERE label >= $day_from::timestamp AND label < $day_until::timestamp
)
GROUP BY scope, id, what;
