-- Forgets rolled-up intervals between readings in which something changed, or that are no longer consecutive.
-- $changes varchar, JSON list of {"from","until"}.
WITH interval_list AS (
  SELECT machine, read_at AS from_at, lead(read_at) OVER (PARTITION BY machine ORDER BY read_at) AS until_at
  FROM (SELECT DISTINCT machine, read_at FROM machine_meter)
),
change AS (
  SELECT (c->>'from')::timestamptz AS from_at, (c->>'until')::timestamptz + INTERVAL 1 DAY AS until_at
  FROM (SELECT unnest($changes::json[]) AS c)
)
DELETE FROM rollup_reading AS r
WHERE EXISTS (FROM change c WHERE c.from_at < r.until_at AND c.until_at > r.from_at)
  OR NOT EXISTS (FROM interval_list i WHERE i.machine = r.machine AND i.from_at = r.from_at AND i.until_at = r.until_at);
