-- Makes the temporary table hours_reading: enabled hours of one machine between consecutive readings of its hour meter, from
-- hours_stretch; with unseen ends at their mean.
-- $intervals varchar, JSON list of {"from","until"} · $machine varchar.
-- Gives the table: machine varchar, from_at, until_at timestamptz, enabled_hours double.
CREATE OR REPLACE TEMP TABLE hours_reading AS
WITH reading AS (
  SELECT (r->>'from')::timestamptz AS from_at, (r->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($intervals::json[]) AS r)
),
part AS (
  SELECT
    r.from_at,
    r.until_at,
    s.weight,
    s.draws,
    (epoch_us(greatest(s.from_at, r.from_at)) - epoch_us(s.base_at)) / 1e6 AS from_seconds,
    (epoch_us(least(s.until_at, r.until_at)) - epoch_us(s.base_at)) / 1e6 AS until_seconds
  FROM reading r
  JOIN hours_stretch s ON s.machine = $machine::varchar AND s.measure = 'enabled' AND s.from_at < r.until_at AND s.until_at > r.from_at
)
SELECT
  $machine::varchar AS machine,
  r.from_at,
  r.until_at,
  coalesce(sum(p.weight * CASE
    WHEN p.draws IS NULL THEN p.until_seconds - p.from_seconds
    ELSE list_avg(list_transform(p.draws, lambda d: greatest(0, least(d, p.until_seconds) - p.from_seconds)))
  END), 0) / 3600 AS enabled_hours
FROM reading r
LEFT JOIN part p ON p.from_at = r.from_at AND p.until_at = r.until_at
GROUP BY r.from_at, r.until_at;
