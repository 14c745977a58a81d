-- What day and time the workshop's own clock shows at some moments; nulls stay null.
-- $now, $first, $last timestamptz · $zone IANA name.
-- Gives: today, clock, firstDay, lastDay, lastClock varchar: days as YYYY-MM-DD, clocks as HH:MM.
SELECT
  strftime(timezone($zone, $now::timestamptz), '%Y-%m-%d') AS "today",
  strftime(timezone($zone, $now::timestamptz), '%H:%M') AS "clock",
  strftime(timezone($zone, $first::timestamptz), '%Y-%m-%d') AS "firstDay",
  strftime(timezone($zone, $last::timestamptz), '%Y-%m-%d') AS "lastDay",
  strftime(timezone($zone, $last::timestamptz), '%H:%M') AS "lastClock";
