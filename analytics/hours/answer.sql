-- Hours per machine and bucket: counts, enabled hours and run-hours with their ranges. Run-hours are what motor events measured,
-- and the rest of the enabled hours times the run factor; the spreads of unseen ends, of the factor and of a bucket's own luck
-- are independent, so that their distances from the best add as squares.
-- $by varchar: machine, day, week, month, hour-of-week · $from, $until timestamptz: the span · $machine varchar, null = all ·
-- $all boolean: also empty buckets and unused machines · $zone IANA name · $factors varchar, JSON list of {"machine", "mean",
-- "below", "above" (distance of the factor's 10 and 90 % points), "scatter" (squared 90 % distance of an hour's own luck)}.
-- Gives: machine varchar, from, until timestamptz, day varchar (local day of from, of days, weeks and months), hourOfWeek, sessions,
-- openSessions, starts, members integer,
-- enabledHours_low, _best, _high, runHours_low, _best, _high, loadHours_low, _best, _high double (the last for driven machines).
WITH named AS (
  SELECT machine FROM hours_sum
  UNION
  SELECT machine FROM hours_world
  UNION
  SELECT machine FROM hours_metered
  UNION
  SELECT machine FROM machine WHERE $all::boolean AND ($machine::varchar IS NULL OR machine = $machine::varchar)
),
calendar AS (
  SELECT DISTINCT
    CASE $by
      WHEN 'day' THEN day
      WHEN 'week' THEN date_trunc('week', day)
      WHEN 'month' THEN date_trunc('month', day)
    END::timestamp AS bucket,
    hour_of_week
  FROM
    (
      SELECT unnest(generate_series(
        timezone($zone, $from::timestamptz)::date,
        timezone($zone, greatest($from::timestamptz, $until::timestamptz - INTERVAL 1 MICROSECOND))::date,
        INTERVAL 1 DAY
      ))::date AS day
    ),
    (SELECT unnest(CASE WHEN $by = 'hour-of-week' THEN range(0, 168) ELSE [NULL] END)::integer AS hour_of_week)
  WHERE $all::boolean
),
wanted AS (
  SELECT machine, bucket, hour_of_week FROM hours_sum
  UNION
  SELECT machine, bucket, hour_of_week FROM hours_world WHERE mean > 1e-9
  UNION
  SELECT machine, bucket, hour_of_week FROM hours_metered
  UNION
  SELECT n.machine, c.bucket, c.hour_of_week FROM named n, calendar c
),
-- Bounds of the buckets. Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
edge AS (
  SELECT
    clock,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR) >= clock THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE) >= clock THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS instant
  FROM (
    SELECT clock, timezone($zone, clock) AS at_later
    FROM (
      SELECT bucket AS clock FROM wanted WHERE bucket IS NOT NULL
      UNION
      SELECT CASE $by WHEN 'day' THEN bucket + INTERVAL 1 DAY WHEN 'week' THEN bucket + INTERVAL 7 DAY ELSE bucket + INTERVAL 1 MONTH END
      FROM wanted
      WHERE bucket IS NOT NULL
    )
  )
),
measured AS (
  SELECT
    machine,
    bucket,
    hour_of_week,
    coalesce(max(mean) FILTER (measure = 'enabled'), 0) AS enabled_mean,
    coalesce(max(low) FILTER (measure = 'enabled'), 0) AS enabled_low,
    coalesce(max(high) FILTER (measure = 'enabled'), 0) AS enabled_high,
    coalesce(max(mean) FILTER (measure = 'motor'), 0) AS motor_mean,
    coalesce(max(low) FILTER (measure = 'motor'), 0) AS motor_low,
    coalesce(max(high) FILTER (measure = 'motor'), 0) AS motor_high,
    coalesce(max(mean) FILTER (measure = 'factored'), 0) AS factored_mean,
    coalesce(max(low) FILTER (measure = 'factored'), 0) AS factored_low,
    coalesce(max(high) FILTER (measure = 'factored'), 0) AS factored_high,
    coalesce(max(mean) FILTER (measure = 'load'), 0) AS load_mean,
    coalesce(max(low) FILTER (measure = 'load'), 0) AS load_low,
    coalesce(max(high) FILTER (measure = 'load'), 0) AS load_high
  FROM hours_world
  GROUP BY machine, bucket, hour_of_week
),
factor AS (
  SELECT
    f->>'machine' AS machine,
    (f->>'mean')::double AS mean,
    (f->>'below')::double AS below,
    (f->>'above')::double AS above,
    (f->>'scatter')::double AS scatter
  FROM (SELECT unnest($factors::json[]) AS f)
),
joined AS (
  SELECT
    w.machine,
    w.bucket,
    w.hour_of_week,
    m.ordinal,
    coalesce(m.kind, 'stations') AS kind,
    coalesce(s.sessions, 0) AS sessions,
    coalesce(o.open_sessions, 0) AS open_sessions,
    coalesce(s.starts, 0) AS starts,
    coalesce(p.members, 0) AS members,
    coalesce(s.enabled_hours, 0) + coalesce(d.enabled_low, 0) AS enabled_low,
    coalesce(s.enabled_hours, 0) + coalesce(d.enabled_mean, 0) AS enabled_best,
    coalesce(s.enabled_hours, 0) + coalesce(d.enabled_high, 0) AS enabled_high,
    coalesce(s.motor_hours, 0) + coalesce(d.motor_low, 0) AS motor_low,
    coalesce(s.motor_hours, 0) + coalesce(d.motor_mean, 0) AS motor_best,
    coalesce(s.motor_hours, 0) + coalesce(d.motor_high, 0) AS motor_high,
    CASE
      WHEN w.machine IN (SELECT machine FROM hours_cover) THEN coalesce(s.factored_hours, 0) + coalesce(d.factored_low, 0)
      ELSE coalesce(s.enabled_hours, 0) + coalesce(d.enabled_low, 0)
    END AS factored_low,
    CASE
      WHEN w.machine IN (SELECT machine FROM hours_cover) THEN coalesce(s.factored_hours, 0) + coalesce(d.factored_mean, 0)
      ELSE coalesce(s.enabled_hours, 0) + coalesce(d.enabled_mean, 0)
    END AS factored_best,
    CASE
      WHEN w.machine IN (SELECT machine FROM hours_cover) THEN coalesce(s.factored_hours, 0) + coalesce(d.factored_high, 0)
      ELSE coalesce(s.enabled_hours, 0) + coalesce(d.enabled_high, 0)
    END AS factored_high,
    coalesce(s.load_hours, 0) + coalesce(d.load_low, 0) AS load_low,
    coalesce(s.load_hours, 0) + coalesce(d.load_mean, 0) AS load_best,
    coalesce(s.load_hours, 0) + coalesce(d.load_high, 0) AS load_high,
    t.hours AS metered_hours,
    t.variance AS metered_variance,
    coalesce(f.mean, 1) AS factor,
    coalesce(f.below, 0) AS factor_below,
    coalesce(f.above, 0) AS factor_above,
    coalesce(f.scatter, 0) AS scatter
  FROM wanted w
  LEFT JOIN machine m ON m.machine = w.machine
  LEFT JOIN hours_sum s ON s.machine = w.machine AND s.bucket IS NOT DISTINCT FROM w.bucket AND s.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN measured d ON d.machine = w.machine AND d.bucket IS NOT DISTINCT FROM w.bucket AND d.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN hours_present p ON p.machine = w.machine AND p.bucket IS NOT DISTINCT FROM w.bucket AND p.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN hours_open o ON o.machine = w.machine AND o.bucket IS NOT DISTINCT FROM w.bucket AND o.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN hours_metered t ON t.machine = w.machine AND t.bucket IS NOT DISTINCT FROM w.bucket AND t.hour_of_week IS NOT DISTINCT FROM w.hour_of_week
  LEFT JOIN factor f ON f.machine = w.machine
),
ranged AS (
  SELECT
    *,
    motor_best + factor * factored_best AS run_best,
    sqrt(
      (motor_best - motor_low) ** 2 + (factor * (factored_best - factored_low)) ** 2 + (factored_best * factor_below) ** 2
      + scatter * greatest(0, factored_best)
    ) AS run_below,
    sqrt(
      (motor_high - motor_best) ** 2 + (factor * (factored_high - factored_best)) ** 2 + (factored_best * factor_above) ** 2
      + scatter * greatest(0, factored_best)
    ) AS run_above
  FROM joined
)
SELECT
  r.machine,
  CASE WHEN r.bucket IS NULL THEN $from::timestamptz ELSE first_edge.instant END AS "from",
  CASE WHEN r.bucket IS NULL THEN $until::timestamptz ELSE last_edge.instant END AS "until",
  strftime(r.bucket, '%Y-%m-%d') AS "day",
  r.hour_of_week AS "hourOfWeek",
  CASE WHEN r.kind = 'stations' THEN r.sessions END AS sessions,
  CASE WHEN r.kind = 'stations' THEN r.open_sessions END AS "openSessions",
  CASE WHEN r.kind <> 'meter' THEN r.starts END AS starts,
  CASE WHEN r.kind = 'stations' THEN r.members END AS members,
  CASE WHEN r.kind <> 'meter' THEN r.enabled_low END AS "enabledHours_low",
  CASE WHEN r.kind <> 'meter' THEN r.enabled_best END AS "enabledHours_best",
  CASE WHEN r.kind <> 'meter' THEN r.enabled_high END AS "enabledHours_high",
  CASE WHEN r.kind <> 'meter' THEN greatest(least(motor_low, run_best), run_best - run_below)
    ELSE greatest(0, metered_hours - 1.2816 * sqrt(metered_variance)) END AS "runHours_low",
  CASE WHEN r.kind <> 'meter' THEN run_best ELSE metered_hours END AS "runHours_best",
  CASE WHEN r.kind <> 'meter' THEN least(run_best + run_above, greatest(run_best, motor_high + greatest(1, factor + factor_above) * factored_high))
    ELSE metered_hours + 1.2816 * sqrt(metered_variance) END AS "runHours_high",
  CASE WHEN r.kind = 'driven' THEN r.load_low END AS "loadHours_low",
  CASE WHEN r.kind = 'driven' THEN r.load_best END AS "loadHours_best",
  CASE WHEN r.kind = 'driven' THEN r.load_high END AS "loadHours_high"
FROM ranged r
LEFT JOIN edge first_edge ON first_edge.clock = r.bucket
LEFT JOIN edge last_edge ON last_edge.clock = CASE $by
  WHEN 'day' THEN r.bucket + INTERVAL 1 DAY
  WHEN 'week' THEN r.bucket + INTERVAL 7 DAY
  ELSE r.bucket + INTERVAL 1 MONTH
END
ORDER BY r.ordinal NULLS LAST, r.machine, r.bucket, r.hour_of_week;
