-- What a current sensor says of a machine's run factor, by whole local weeks that ended before the as-of time, from hours_piece and
-- hours_draw by days.
-- $as_of timestamptz · $zone IANA name.
-- Gives: machine varchar, weeks integer, enabled_hours, run_hours (sums), run_squares (sum of run-hours² ÷ enabled hours),
-- products (sum of enabled × run-hours), squares (sum of enabled hours²) double.
WITH mean_draw AS (
  SELECT machine, label, measure, list_avg(list_value(*COLUMNS('^w[0-9]+$'))) AS seconds
  FROM hours_draw
  WHERE machine IN (SELECT machine FROM hours_cover)
),
part AS (
  SELECT machine, label, enabled_seconds - factored_seconds AS covered_seconds, motor_seconds
  FROM hours_piece
  WHERE machine IN (SELECT machine FROM hours_cover)
  UNION ALL
  SELECT
    machine,
    label,
    CASE measure WHEN 'enabled' THEN seconds WHEN 'factored' THEN -seconds ELSE 0 END,
    CASE measure WHEN 'motor' THEN seconds ELSE 0 END
  FROM mean_draw
),
week AS (
  SELECT machine, sum(covered_seconds) / 3600 AS x, sum(motor_seconds) / 3600 AS y
  FROM part
  WHERE timezone($zone, date_trunc('week', label) + INTERVAL 7 DAY) <= $as_of::timestamptz
  GROUP BY machine, date_trunc('week', label)
)
SELECT
  machine,
  count(*)::integer AS weeks,
  sum(x) AS enabled_hours,
  sum(y) AS run_hours,
  sum(y * y / x) AS run_squares,
  sum(x * y) AS products,
  sum(x * x) AS squares
FROM week
WHERE x > 0.01
GROUP BY machine;
