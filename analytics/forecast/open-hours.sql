-- Open hours (staffed or member) of each local day, and how many of them are still to come as of a moment.
-- $first, $last date, both belong · $as_of timestamptz.
-- Gives: day integer (0 = first), hours, hoursAhead double; closed days are left out.
SELECT
  (day - $first::date)::integer AS "day",
  sum(epoch_us(until_at) - epoch_us(from_at)) / 3.6e9 AS "hours",
  sum(epoch_us(until_at) - epoch_us(least(until_at, greatest(from_at, $as_of::timestamptz)))) / 3.6e9 AS "hoursAhead"
FROM opening
WHERE day BETWEEN $first::date AND $last::date
GROUP BY day
ORDER BY day;
