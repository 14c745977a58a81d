-- What unseen ends of hours_stretch add to each machine's use since the instants of service_point, one figure for each joint world.
-- $within boolean: only up to the end of the point's own local day.
-- Gives: point integer, measure varchar (enabled, motor, factored, load), hours double[].
WITH part AS (
  SELECT
    p.point,
    h.measure,
    h.weight,
    h.draws,
    epoch_us(greatest(h.from_at, p.from_at) - h.base_at) / 1e6 AS from_seconds,
    epoch_us(CASE WHEN $within::boolean THEN least(h.until_at, p.next_at) ELSE h.until_at END - h.base_at) / 1e6 AS until_seconds
  FROM hours_stretch AS h
  JOIN service_point AS p ON p.machine = h.machine AND h.until_at > p.from_at AND (NOT $within::boolean OR h.from_at < p.next_at)
  WHERE h.draws IS NOT NULL AND h.until_at > h.from_at
),
summed AS (
  SELECT point, measure, sum(weight * greatest(0, least(draws[COLUMNS('^w[0-9]+$')], until_seconds) - from_seconds)) / 3600
  FROM part, world
  GROUP BY point, measure
)
SELECT point AS "point", measure AS "measure", list_value(*COLUMNS('^w[0-9]+$')) AS "hours" FROM summed;
