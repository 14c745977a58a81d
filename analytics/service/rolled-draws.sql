-- What unseen ends add in the rolled-up local days after the instants of service_point, one figure for each joint world: whole months
-- where they lie inside, days before and behind.
-- $until timestamp: the first label that is not taken · $until_month timestamp: the first month that is not wholly taken.
-- Gives: point integer, measure varchar (enabled, motor, factored, load), hours double[].
WITH bound AS (
  SELECT point, machine, next_day, date_trunc('month', next_day + INTERVAL 1 MONTH - INTERVAL 1 DAY) AS next_month FROM service_point
),
summed AS (
  SELECT b.point, r.measure, sum(COLUMNS(r.* EXCLUDE (tier, machine, label, hour_of_week, measure))) / 3600
  FROM bound AS b
  JOIN rollup_draw AS r ON r.machine = b.machine AND r.label >= b.next_day
  WHERE r.label < $until::timestamp
    AND (
      (r.tier = 'month' AND r.label >= b.next_month AND r.label < $until_month::timestamp)
      OR (r.tier = 'day' AND (r.label < b.next_month OR r.label >= $until_month::timestamp))
    )
  GROUP BY b.point, r.measure
)
SELECT point AS "point", measure AS "measure", list_value(*COLUMNS('^w[0-9]+$')) AS "hours" FROM summed;
