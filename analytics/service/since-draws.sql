-- What unseen ends add to each machine's use since the instants of service_point: mean and 10 and 90 % points over the joint worlds.
-- Gives: point integer, measure varchar (enabled, motor, factored, load, or enabled and factored
-- where no motor events tell), mean, low, high double, hours.
WITH part AS (
  SELECT
    p.point,
    h.machine,
    h.measure,
    h.weight,
    h.draws,
    epoch_us(greatest(h.from_at, p.from_at) - h.base_at) / 1e6 AS from_seconds,
    epoch_us(h.until_at - h.base_at) / 1e6 AS until_seconds
  FROM hours_stretch AS h
  JOIN service_point AS p ON p.machine = h.machine AND h.until_at > p.from_at
  WHERE h.draws IS NOT NULL AND h.until_at > h.from_at
),
summed AS (
  SELECT
    point,
    machine,
    measure,
    sum(weight * greatest(0, least(draws[COLUMNS('^w[0-9]+$')], until_seconds) - from_seconds)) / 3600
  FROM part, world
  GROUP BY point, machine, measure
),
listed AS (
  SELECT point, machine, measure, list_value(*COLUMNS('^w[0-9]+$')) AS hours FROM summed
)
SELECT
  point AS "point",
  CASE
    WHEN measure = 'enabled' AND machine NOT IN (SELECT machine FROM hours_cover) THEN 'enabled and factored'
    ELSE measure
  END AS "measure",
  list_avg(hours) AS "mean",
  list_aggregate(hours, 'quantile_cont', 0.1) AS "low",
  list_aggregate(hours, 'quantile_cont', 0.9) AS "high"
FROM listed;
