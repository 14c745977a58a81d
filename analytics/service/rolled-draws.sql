-- What unseen ends add in the rolled-up local days after the instants of service_point, one figure for each joint world: whole months
-- where they lie inside, days before and behind.
-- $until timestamp: the first label that is not taken.
-- Gives: point integer, measure varchar (enabled, motor, factored, load), hours double[].
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
  SELECT b.point, r.measure, COLUMNS(r.* EXCLUDE (tier, machine, label, hour_of_week, measure))
  FROM bound AS b
  JOIN (FROM rollup_draw WHERE tier = 'month') AS r ON r.machine = b.machine AND r.label >= b.next_month AND r.label < b.last_month
  UNION ALL
  SELECT e.point, r.measure, COLUMNS(r.* EXCLUDE (tier, machine, label, hour_of_week, measure, month))
  FROM edge AS e
  JOIN (SELECT *, date_trunc('month', label) AS month FROM rollup_draw WHERE tier = 'day') AS r
    ON r.machine = e.machine AND r.month = e.month
  WHERE r.label >= e.from_day AND r.label < e.until_day
),
summed AS (
  SELECT point, measure, sum(COLUMNS(* EXCLUDE (point, measure))) / 3600 FROM part GROUP BY point, measure
)
SELECT point AS "point", measure AS "measure", list_value(*COLUMNS('^w[0-9]+$')) AS "hours" FROM summed;
