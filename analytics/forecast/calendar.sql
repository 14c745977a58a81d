-- Where the forecast stands in the calendar.
-- $as_of timestamptz · $log_from timestamptz: the log's first instant · $zone IANA name · $reach_days, $history_days integer.
-- Gives one row: today, firstDay, lastDay varchar (dates; history begins with firstDay, the forecast ends with lastDay), todayIndex,
-- firstWeekday integer (0 Monday to 6 Sunday), firstYear double (years since a fixed first of January), restOfToday double (share
-- of today's opening hours still to come, of its hours where it has none), openUntil varchar (date, the last for which opening hours are known; null = no opening hours).
WITH here AS (
  SELECT
    timezone($zone, $as_of::timestamptz)::date AS today,
    greatest(timezone($zone, least($log_from::timestamptz, $as_of::timestamptz))::date, timezone($zone, $as_of::timestamptz)::date - $history_days::integer) AS first_day
)
SELECT
  today::varchar AS "today",
  first_day::varchar AS "firstDay",
  (today + $reach_days::integer)::varchar AS "lastDay",
  (today - first_day)::integer AS "todayIndex",
  (isodow(first_day) - 1)::integer AS "firstWeekday",
  year(first_day) + (dayofyear(first_day) - 1) / 365.2425 AS "firstYear",
  coalesce(
    (
      SELECT sum(epoch_us(until_at) - epoch_us(least(until_at, greatest(from_at, $as_of::timestamptz)))) / sum(epoch_us(until_at) - epoch_us(from_at))
      FROM opening
      WHERE day = today
    ),
    greatest(0, least(1, 1 - epoch_us(timezone($zone, $as_of::timestamptz) - today::timestamp) / 86.4e9))
  ) AS "restOfToday",
  (SELECT max(day)::varchar FROM opening) AS "openUntil"
FROM here;
