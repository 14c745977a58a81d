-- Use of each machine in the rolled-up local days after the instants of service_point; unseen ends are not in the hours. Whole months
-- where they lie inside, days before and behind.
-- $until timestamp: the first label that is not taken.
-- Gives: point integer, sessions, starts integer, enabledHours, motorHours, factoredHours, loadHours double; no row where there is
-- nothing.
WITH bound AS (
  SELECT
    point,
    machine,
    next_day,
    date_trunc('month', next_day + INTERVAL 1 MONTH - INTERVAL 1 DAY) AS next_month,
    date_trunc('month', $until::timestamp) AS last_month
  FROM service_point
),
edge AS (
  SELECT
    point,
    machine,
    date_trunc('month', next_day) AS month,
    next_day AS from_day,
    CASE WHEN next_month <= last_month THEN next_month ELSE $until::timestamp END AS until_day
  FROM bound
  UNION ALL
  SELECT point, machine, last_month, last_month, $until::timestamp FROM bound WHERE next_month <= last_month
),
part AS (
  SELECT b.point, r.sessions, r.starts, r.enabled_seconds, r.motor_seconds, r.factored_seconds, r.load_seconds
  FROM bound AS b
  JOIN (FROM rollup WHERE tier = 'month') AS r ON r.machine = b.machine AND r.label >= b.next_month AND r.label < b.last_month
  UNION ALL
  SELECT e.point, r.sessions, r.starts, r.enabled_seconds, r.motor_seconds, r.factored_seconds, r.load_seconds
  FROM edge AS e
  JOIN (SELECT *, date_trunc('month', label) AS month FROM rollup WHERE tier = 'day') AS r
    ON r.machine = e.machine AND r.month = e.month
  WHERE r.label >= e.from_day AND r.label < e.until_day
)
SELECT
  point AS "point",
  sum(sessions)::integer AS "sessions",
  sum(starts)::integer AS "starts",
  sum(enabled_seconds) / 3600 AS "enabledHours",
  sum(motor_seconds) / 3600 AS "motorHours",
  sum(factored_seconds) / 3600 AS "factoredHours",
  sum(load_seconds) / 3600 AS "loadHours"
FROM part
GROUP BY point;
