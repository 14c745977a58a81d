-- What a current sensor says of a machine's run factor, by local weeks in which it was at work, from the roll-ups of weeks that
-- ended before the as-of time.
-- $as_of timestamptz · $zone IANA name · $machine varchar, null = all.
-- Gives: machine varchar, weeks integer, enabled_hours, run_hours (sums), run_squares (sum of run-hours² ÷ enabled hours),
-- products (sum of enabled × run-hours), squares (sum of enabled hours²) double.
WITH mean_draw AS (
  SELECT machine, label, measure, list_avg(list_value(*COLUMNS('^w[0-9]+$'))) AS seconds
  FROM rollup_draw
  WHERE tier = 'week' AND machine IN (SELECT machine FROM rollup_cover)
),
drawn AS (
  SELECT
    machine,
    label,
    coalesce(sum(seconds) FILTER (measure = 'enabled'), 0) - coalesce(sum(seconds) FILTER (measure = 'factored'), 0) AS covered_seconds,
    coalesce(sum(seconds) FILTER (measure = 'motor'), 0) AS motor_seconds
  FROM mean_draw
  GROUP BY machine, label
),
week AS (
  SELECT
    r.machine,
    (r.enabled_seconds - r.factored_seconds + coalesce(d.covered_seconds, 0)) / 3600 AS x,
    (r.motor_seconds + coalesce(d.motor_seconds, 0)) / 3600 AS y
  FROM rollup r
  LEFT JOIN drawn d ON d.machine = r.machine AND d.label = r.label
  WHERE r.tier = 'week' AND r.machine IN (SELECT machine FROM rollup_cover)
    AND timezone($zone, r.label + INTERVAL 7 DAY) <= $as_of::timestamptz
    AND ($machine::varchar IS NULL OR r.machine = $machine::varchar)
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
