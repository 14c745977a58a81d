-- Intervals between consecutive hour-meter readings that are not rolled up.
-- Gives: machine varchar, from, until varchar (timestamptz), in order.
WITH interval_list AS (
  SELECT machine, read_at AS from_at, lead(read_at) OVER (PARTITION BY machine ORDER BY read_at) AS until_at
  FROM (SELECT DISTINCT machine, read_at FROM machine_meter)
)
SELECT i.machine, i.from_at::varchar AS "from", i.until_at::varchar AS "until"
FROM interval_list i
JOIN machine m ON m.machine = i.machine AND m.kind <> 'meter'
WHERE i.until_at IS NOT NULL
  AND NOT EXISTS (FROM rollup_reading r WHERE r.machine = i.machine AND r.from_at = i.from_at AND r.until_at = i.until_at)
ORDER BY i.machine, i.from_at;
