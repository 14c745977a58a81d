-- Adds to hours_stretch the machines that are always on: from their first to their last day, without outages.
-- $windows varchar, JSON list of {"from","until"} · $asked varchar, null = all · $as_of timestamptz · $log_from timestamptz, where those
-- begin that have no first day.
INSERT INTO hours_stretch
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
),
-- Overlapping outages take time away once.
away AS (
  SELECT machine, min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(is_new) OVER (PARTITION BY machine ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS run
    FROM (
      SELECT *, CASE WHEN from_at <= max(until_at) OVER before THEN 0 ELSE 1 END AS is_new
      FROM machine_outage
      WHERE from_at < until_at
      WINDOW before AS (PARTITION BY machine ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
    )
  )
  GROUP BY machine, run
),
always AS (
  SELECT
    m.machine,
    greatest(coalesce(m.from_at, $log_from::timestamptz), w.from_at) AS from_at,
    least(coalesce(m.until_at, 'infinity'::timestamptz), w.until_at, $as_of::timestamptz) AS until_at,
    coalesce(m.from_at, $log_from::timestamptz) >= w.from_at AS begins,
    w.from_at AS window_from,
    w.until_at AS window_until
  FROM machine m, span w
  WHERE m.kind = 'always-on' AND ($asked::varchar IS NULL OR m.machine = $asked::varchar)
)
SELECT machine, 'enabled', 1, from_at, until_at, from_at, until_at, NULL, NULL, 0, begins::integer, window_from, window_until
FROM always
WHERE from_at < until_at
UNION ALL
SELECT a.machine, 'enabled', -1, greatest(a.from_at, o.from_at), least(a.until_at, o.until_at), o.from_at, o.until_at, NULL, NULL, 0, 0, a.window_from, a.window_until
FROM always a
JOIN away o ON o.machine = a.machine AND o.from_at < a.until_at AND o.until_at > a.from_at
UNION ALL
SELECT a.machine, 'enabled', 0, o.until_at, o.until_at, o.until_at, o.until_at, NULL, NULL, 0, 1, a.window_from, a.window_until
FROM always a
JOIN away o ON o.machine = a.machine AND o.until_at >= a.from_at AND o.until_at < a.until_at;
