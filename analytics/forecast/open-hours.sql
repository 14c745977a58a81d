-- Open hours (staffed or member) of each local day.
-- $first, $last date, both belong.
-- Gives: day integer (0 = first), hours double; closed days are left out.
SELECT (day - $first::date)::integer AS "day", sum(epoch_us(until_at) - epoch_us(from_at)) / 3.6e9 AS "hours"
FROM opening
WHERE day BETWEEN $first::date AND $last::date
GROUP BY day
ORDER BY day;
