-- The slices of open time as plain numbers.
-- $from timestamptz: the instant that hours are counted from · $locks boolean: whether there are doors to be locked up.
-- Gives: slice, spell integer, from_hour, until_hour, closes_hour double (infinity where nobody locks up), month date, hour_of_week
-- integer.
SELECT
  slice,
  spell,
  (epoch_us(from_at) - epoch_us($from::timestamptz))::double / 3.6e9 AS from_hour,
  (epoch_us(until_at) - epoch_us($from::timestamptz))::double / 3.6e9 AS until_hour,
  CASE
    WHEN $locks THEN (epoch_us(spell_until) - epoch_us($from::timestamptz))::double / 3.6e9
    ELSE 'infinity'::double
  END AS closes_hour,
  month,
  hour_of_week
FROM demand_slice
ORDER BY slice;
