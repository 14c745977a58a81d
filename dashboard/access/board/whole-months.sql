-- The local months that the log covers to their end: from the month of its first event to the last month that ended before its
-- last one.
-- $first, $last timestamptz, null where the log is empty · $zone IANA name.
-- Gives: from_at, until_at timestamptz.
SELECT
  timezone($zone, m.month::timestamp) AS from_at,
  timezone($zone, (m.month + INTERVAL 1 MONTH)::timestamp) AS until_at
FROM (
  SELECT unnest(generate_series(
    date_trunc('month', timezone($zone, $first::timestamptz)),
    date_trunc('month', timezone($zone, $last::timestamptz)) - INTERVAL 1 MONTH,
    INTERVAL 1 MONTH
  )) AS month
) AS m
ORDER BY m.month;
