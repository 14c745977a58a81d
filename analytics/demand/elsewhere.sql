-- Turns that began on a free machine of another group in the same room while all units of a group were taken, by month.
-- Gives: "group" (the one that was taken), other varchar, month date, turns integer.
WITH room AS (
  SELECT DISTINCT group_id, room FROM machine WHERE kind = 'stations' AND room IS NOT NULL
),
pair AS (
  SELECT DISTINCT a.group_id, b.group_id AS other
  FROM room a
  JOIN room b ON b.room = a.room AND b.group_id <> a.group_id
),
taken AS MATERIALIZED (
  SELECT l.group_id, l.at_time, l.next_at, time_bucket(INTERVAL 1 HOUR, l.at_time) AS bucket
  FROM demand_line l
  JOIN demand_slice s ON s.slice = l.slice
  WHERE l.fit > 0 AND l.free <= 0 AND NOT s.is_last AND l.next_at IS NOT NULL
),
begun AS MATERIALIZED (
  SELECT t.group_id, t.started_at, s.month, time_bucket(INTERVAL 1 HOUR, t.started_at) AS bucket
  FROM demand_start t
  JOIN demand_slice s ON s.slice = t.slice
  WHERE t.seen = 'free'
),
-- Lines are cut at full local hours, so that each lies within two hours of the clock at the most.
near AS (
  SELECT group_id, at_time, next_at, unnest([bucket, bucket + INTERVAL 1 HOUR]) AS bucket FROM taken
)
SELECT n.group_id AS "group", p.other, b.month, count(*)::integer AS turns
FROM near n
JOIN pair p ON p.group_id = n.group_id
JOIN begun b ON b.group_id = p.other AND b.bucket = n.bucket AND b.started_at > n.at_time AND b.started_at <= n.next_at
GROUP BY n.group_id, p.other, b.month;
