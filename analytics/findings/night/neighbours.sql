-- Sessions near findings: on the machine or by the badge of each, from two hours before it to two hours after, the nearest six.
-- $findings JSON list of {id, machine, station, badge, from, until} (times RFC 3339) · $as_of timestamptz.
-- Gives: id, machine, "machineName", badge varchar, "from", "until" timestamptz (best end), ended varchar.
WITH finding AS MATERIALIZED (
  SELECT f.id, f.machine, f.station, f.badge, f."from"::timestamptz AS from_at, f.until::timestamptz AS until_at
  FROM (
    SELECT unnest(from_json_strict(
      $findings,
      '[{"id":"VARCHAR","machine":"VARCHAR","station":"VARCHAR","badge":"VARCHAR","from":"VARCHAR","until":"VARCHAR"}]'
    )) AS f
  )
), edge AS (
  SELECT min(from_at) - INTERVAL 1 DAY AS from_at, max(until_at) + INTERVAL 2 HOUR AS until_at FROM finding
), near AS MATERIALIZED (
  SELECT s.machine, s.station, s.badge, s.started_at, s.end_best, s.ended
  FROM session AS s
  CROSS JOIN edge AS e
  WHERE s.started_at >= e.from_at AND s.started_at < e.until_at AND s.started_at <= $as_of::timestamptz
)
SELECT
  f.id,
  n.machine,
  coalesce(m.name, n.machine) AS "machineName",
  n.badge,
  n.started_at AS "from",
  least(n.end_best, $as_of::timestamptz) AS "until",
  n.ended
FROM finding AS f
JOIN near AS n
  ON n.started_at < f.until_at + INTERVAL 2 HOUR
  AND n.end_best > f.from_at - INTERVAL 2 HOUR
  AND (n.machine = f.machine OR n.station = f.station OR n.badge = f.badge)
LEFT JOIN machine AS m ON m.machine = n.machine
QUALIFY row_number() OVER (
  PARTITION BY f.id
  ORDER BY abs(epoch_us(n.started_at) - epoch_us(f.from_at)), n.machine
) <= 6
ORDER BY f.id, n.started_at, n.machine;
