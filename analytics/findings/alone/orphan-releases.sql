-- Stretches in which a badge left another station that was never seen to come there: its line was lost, and somebody was about.
-- $stretches JSON list of {number, from, until} · $as_of timestamptz.
-- Gives: number integer, station varchar, "releasedAt" timestamptz.
WITH stretch AS MATERIALIZED (
  SELECT (row->>'number')::int AS number, (row->>'from')::timestamptz AS from_at, (row->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($stretches::json[]) AS row)
),
near_day AS MATERIALIZED (
  SELECT DISTINCT unnest(range(epoch_ms(from_at) // 86400000 - 1, epoch_ms(until_at) // 86400000 + 2)) AS day FROM stretch
),
said AS MATERIALIZED (
  SELECT e.station, e.kind, e.occurred_at, lag(e.kind) OVER (PARTITION BY e.station ORDER BY e.occurred_at, e.sequence, e.reading_id, e.line) AS before
  FROM event e
  JOIN near_day d ON d.day = epoch_ms(e.occurred_at) // 86400000
  WHERE e.kind IN ('enable', 'release', 'boot') AND e.occurred_at <= $as_of::timestamptz
)
SELECT t.number, s.station, s.occurred_at AS "releasedAt"
FROM said s
JOIN stretch t ON s.occurred_at > t.from_at AND s.occurred_at <= t.until_at + INTERVAL 10 MINUTE
WHERE s.kind = 'release' AND s.before = 'release'
ORDER BY t.number, s.occurred_at;
