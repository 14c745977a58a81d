-- Turns counted in free time and turns to expect in it, by group and week.
-- $by_hour, $by_month varchar: JSON lists of {"group","hour","rate"} and {"group","month","factor"} · $zone IANA name.
-- Gives: "group" varchar, turns integer, expected double; no row for weeks without a free hour.
WITH rate AS (
  SELECT r->>'group' AS group_id, (r->>'hour')::integer AS hour_of_week, (r->>'rate')::double AS rate
  FROM (SELECT unnest($by_hour::json[]) AS r)
),
factor AS (
  SELECT r->>'group' AS group_id, (r->>'month')::date AS month, (r->>'factor')::double AS factor
  FROM (SELECT unnest($by_month::json[]) AS r)
),
expected AS (
  SELECT
    l.group_id,
    date_trunc('week', timezone($zone, s.from_at)) AS week,
    round(sum((epoch_us(l.next_at) - epoch_us(l.at_time))::double / 3.6e9 * r.rate * f.factor), 9) AS expected
  FROM demand_line l
  JOIN demand_slice s ON s.slice = l.slice
  JOIN rate r ON r.group_id = l.group_id AND r.hour_of_week = s.hour_of_week
  JOIN factor f ON f.group_id = l.group_id AND f.month = s.month
  WHERE l.next_at IS NOT NULL AND l.there > 0 AND l.free > 0 AND l.fit > 0 AND NOT l.held AND NOT s.is_last
  GROUP BY l.group_id, week
),
counted AS (
  SELECT t.group_id, date_trunc('week', timezone($zone, s.from_at)) AS week, count(*) AS turns
  FROM demand_start t
  JOIN demand_slice s ON s.slice = t.slice
  WHERE t.seen = 'free'
  GROUP BY t.group_id, week
)
SELECT e.group_id AS "group", coalesce(c.turns, 0)::integer AS turns, e.expected
FROM expected e
LEFT JOIN counted c ON c.group_id = e.group_id AND c.week = e.week
WHERE e.expected > 0;
