-- Hours per machine and bucket from the pieces: counts, enabled hours and run-hours with their ranges.
-- $by varchar: machine, day, week, month, hour-of-week · $from, $until timestamptz: the span · $machine varchar, null = all ·
-- $all boolean: also empty buckets and unused machines · $zone IANA name · $factors varchar, JSON list of {"machine", "mean",
-- "low", "high", "factorSd", "scatter"}: run-hours per enabled hour.
-- Gives: machine varchar, from, until timestamptz, hourOfWeek, sessions, openSessions, starts, members integer,
-- enabledHours_low, _best, _high, runHours_low, _best, _high double.
WITH bucketed AS (
  SELECT
    label,
    CASE $by
      WHEN 'day' THEN date_trunc('day', label)
      WHEN 'week' THEN date_trunc('week', label)
      WHEN 'month' THEN date_trunc('month', label)
    END::timestamp AS bucket,
    CASE WHEN $by = 'hour-of-week' THEN ((isodow(label) - 1) * 24 + hour(label))::integer END AS hour_of_week
  FROM slot
),
counted AS (
  SELECT
    p.machine,
    b.bucket,
    b.hour_of_week,
    sum(p.sessions)::integer AS sessions,
    sum(p.open_sessions)::integer AS open_sessions,
    sum(p.starts)::integer AS starts,
    sum(p.enabled_seconds) / 3600 AS exact_hours
  FROM piece p
  JOIN bucketed b ON b.label = p.label
  GROUP BY ALL
),
world AS (
  SELECT d.machine, b.bucket, b.hour_of_week, d.world, sum(d.enabled_seconds) / 3600 AS drawn_hours
  FROM piece_draw d
  JOIN bucketed b ON b.label = d.label
  GROUP BY ALL
),
worlds AS (
  SELECT
    machine,
    bucket,
    hour_of_week,
    avg(drawn_hours) AS drawn_mean,
    quantile_cont(drawn_hours, 0.1) AS drawn_low,
    quantile_cont(drawn_hours, 0.9) AS drawn_high
  FROM world
  GROUP BY ALL
),
present AS (
  SELECT m.machine, b.bucket, b.hour_of_week, count(DISTINCT m.person)::integer AS members
  FROM piece_member m
  JOIN bucketed b ON b.label = m.label
  GROUP BY ALL
),
named AS (
  SELECT machine FROM counted
  UNION
  SELECT machine FROM worlds
  UNION
  SELECT machine FROM machine WHERE $all::boolean AND kind = 'stations' AND ($machine::varchar IS NULL OR machine = $machine::varchar)
),
wanted AS (
  SELECT machine, bucket, hour_of_week FROM counted
  UNION
  SELECT machine, bucket, hour_of_week FROM worlds
  UNION
  SELECT n.machine, b.bucket, b.hour_of_week FROM named n, (SELECT DISTINCT bucket, hour_of_week FROM bucketed) b WHERE $all::boolean
),
factor AS (
  SELECT f->>'machine' AS machine, (f->>'mean')::double AS mean, (f->>'low')::double AS low, (f->>'high')::double AS high
  FROM (SELECT unnest($factors::json[]) AS f)
),
joined AS (
  SELECT
    w.machine,
    w.bucket,
    w.hour_of_week,
    coalesce(c.sessions, 0) AS sessions,
    coalesce(c.open_sessions, 0) AS open_sessions,
    coalesce(c.starts, 0) AS starts,
    coalesce(p.members, 0) AS members,
    coalesce(c.exact_hours, 0) + coalesce(s.drawn_low, 0) AS low,
    coalesce(c.exact_hours, 0) + coalesce(s.drawn_mean, 0) AS best,
    coalesce(c.exact_hours, 0) + coalesce(s.drawn_high, 0) AS high,
    coalesce(f.mean, 1) AS factor_mean,
    coalesce(f.low, 1) AS factor_low,
    coalesce(f.high, 1) AS factor_high
  FROM wanted w
  LEFT JOIN counted c ON c.machine = w.machine AND c.bucket IS NOT DISTINCT FROM w.bucket AND c.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN worlds s ON s.machine = w.machine AND s.bucket IS NOT DISTINCT FROM w.bucket AND s.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN present p ON p.machine = w.machine AND p.bucket IS NOT DISTINCT FROM w.bucket AND p.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN factor f ON f.machine = w.machine
)
SELECT
  j.machine,
  CASE WHEN j.bucket IS NULL THEN $from::timestamptz ELSE timezone($zone, j.bucket) END AS "from",
  CASE $by
    WHEN 'day' THEN timezone($zone, j.bucket + INTERVAL 1 DAY)
    WHEN 'week' THEN timezone($zone, j.bucket + INTERVAL 7 DAY)
    WHEN 'month' THEN timezone($zone, j.bucket + INTERVAL 1 MONTH)
    ELSE $until::timestamptz
  END AS "until",
  j.hour_of_week AS "hourOfWeek",
  j.sessions,
  j.open_sessions AS "openSessions",
  j.starts,
  j.members,
  j.low AS "enabledHours_low",
  j.best AS "enabledHours_best",
  j.high AS "enabledHours_high",
  j.best * j.factor_mean - sqrt((j.factor_mean * (j.best - j.low)) ** 2 + (j.best * (j.factor_mean - j.factor_low)) ** 2) AS "runHours_low",
  j.best * j.factor_mean AS "runHours_best",
  j.best * j.factor_mean + sqrt((j.factor_mean * (j.high - j.best)) ** 2 + (j.best * (j.factor_high - j.factor_mean)) ** 2) AS "runHours_high"
FROM joined j
LEFT JOIN machine m ON m.machine = j.machine
ORDER BY m.ordinal NULLS LAST, j.machine, j.bucket, j.hour_of_week;
