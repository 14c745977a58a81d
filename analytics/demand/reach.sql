-- How many persons used each machine, and what part of its hours the busiest tenth of them had (a tenth rounded up), by best ends.
-- $cells varchar, JSON list of {"machine","from","until"} that count, null = the whole span · $since, $until timestamptz, null = as far
-- as the log goes · $as_of timestamptz · $zone IANA name.
-- Gives: machine varchar, members, busiest integer (how many a tenth is), hours, busiest_hours double.
WITH shown AS (
  SELECT c->>'machine' AS machine, (c->>'from')::timestamptz AS from_at, (c->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($cells::json[]) AS c)
),
used AS (
  SELECT
    s.machine,
    coalesce(h.person, 'badge:' || s.badge, 'session:' || s.session_id) AS person,
    (epoch_us(least(coalesce(s.ended_at, s.end_best), $as_of::timestamptz)) - epoch_us(s.started_at))::double / 3.6e9 AS hours
  FROM session s
  JOIN machine m ON m.machine = s.machine AND m.kind = 'stations'
  LEFT JOIN badge_holder h ON h.badge = s.badge AND timezone($zone, s.started_at)::date >= h.from_day
    AND timezone($zone, s.started_at)::date < h.until_day
  WHERE s.started_at <= $as_of::timestamptz
    AND s.started_at >= coalesce($since::timestamptz, '-infinity'::timestamptz)
    AND s.started_at < coalesce($until::timestamptz, 'infinity'::timestamptz)
    AND NOT coalesce(h.is_maintainer, false)
    AND ($cells IS NULL OR EXISTS (
      FROM shown c WHERE c.machine = s.machine AND s.started_at >= c.from_at AND s.started_at < c.until_at
    ))
),
person AS (
  SELECT machine, person, sum(greatest(hours, 0)) AS hours, row_number() OVER (PARTITION BY machine ORDER BY sum(greatest(hours, 0)) DESC) AS place
  FROM used
  GROUP BY machine, person
),
tenth AS (
  SELECT machine, count(*) AS members, ceil(count(*) / 10) AS busiest FROM person GROUP BY machine
)
SELECT
  t.machine,
  t.members::integer AS members,
  t.busiest::integer AS busiest,
  sum(p.hours)::double AS hours,
  coalesce(sum(p.hours) FILTER (p.place <= t.busiest), 0)::double AS busiest_hours
FROM tenth t
JOIN person p ON p.machine = t.machine
GROUP BY t.machine, t.members, t.busiest
ORDER BY t.machine;
