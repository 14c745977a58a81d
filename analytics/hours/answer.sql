-- Hours per machine and bucket: counts, enabled hours and run-hours with their ranges. Run-hours are what motor events measured,
-- and the rest of the enabled hours times the run factor; the spreads of unseen ends, of the factor and of a bucket's own luck
-- are independent, so that their distances from the best add as squares.
-- $by varchar: machine, day, week, month, hour-of-week · $from, $until timestamptz: the span · $zone IANA name · $factors varchar, JSON
-- list of {"machine", "mean", "below", "above" (distance of the factor's 10 and 90 % points), "scatter" (squared 90 % distance
-- of an hour's own luck)}.
-- Gives: machine varchar, from, until timestamptz, day varchar (local day of from, of days, weeks and months), hourOfWeek, sessions,
-- openSessions, starts, members integer,
-- enabledHours_low, _best, _high, runHours_low, _best, _high, loadHours_low, _best, _high double (the last for driven machines).
WITH whole AS (
  SELECT
    machine,
    bucket,
    hour_of_week,
    coalesce(sum(sessions), 0)::integer AS sessions,
    coalesce(sum(open_sessions), 0)::integer AS open_sessions,
    coalesce(sum(starts), 0)::integer AS starts,
    coalesce(sum(members), 0)::integer AS members,
    coalesce(sum(enabled_hours), 0) AS enabled_hours,
    coalesce(sum(motor_hours), 0) AS motor_hours,
    coalesce(sum(factored_hours), 0) AS factored_hours,
    coalesce(sum(load_hours), 0) AS load_hours,
    coalesce(sum(enabled_mean), 0) AS enabled_mean,
    coalesce(sum(enabled_low), 0) AS enabled_low,
    coalesce(sum(enabled_high), 0) AS enabled_high,
    coalesce(sum(motor_mean), 0) AS motor_mean,
    coalesce(sum(motor_low), 0) AS motor_low,
    coalesce(sum(motor_high), 0) AS motor_high,
    coalesce(sum(factored_mean), 0) AS factored_mean,
    coalesce(sum(factored_low), 0) AS factored_low,
    coalesce(sum(factored_high), 0) AS factored_high,
    coalesce(sum(load_mean), 0) AS load_mean,
    coalesce(sum(load_low), 0) AS load_low,
    coalesce(sum(load_high), 0) AS load_high,
    sum(metered_hours) AS metered_hours,
    sum(metered_variance) AS metered_variance
  FROM hours_part
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
    w.*,
    m.ordinal,
    coalesce(m.kind, 'stations') AS kind,
    coalesce(f.mean, 1) AS factor,
    coalesce(f.below, 0) AS factor_below,
    coalesce(f.above, 0) AS factor_above,
    coalesce(f.scatter, 0) AS scatter,
    -- A machine without a sensor has all of its enabled hours to be turned into run-hours.
    CASE WHEN v.machine IS NULL THEN w.enabled_hours + w.enabled_mean ELSE w.factored_hours + w.factored_mean END AS part_best,
    CASE WHEN v.machine IS NULL THEN w.enabled_mean - w.enabled_low ELSE w.factored_mean - w.factored_low END AS part_below,
    CASE WHEN v.machine IS NULL THEN w.enabled_high - w.enabled_mean ELSE w.factored_high - w.factored_mean END AS part_above
  FROM whole w
  LEFT JOIN machine m ON m.machine = w.machine
  LEFT JOIN factor f ON f.machine = w.machine
  LEFT JOIN (SELECT DISTINCT machine FROM hours_cover) v ON v.machine = w.machine
),
ranged AS (
  SELECT
    *,
    motor_hours + motor_mean + factor * part_best AS run_best,
    sqrt(
      (motor_mean - motor_low) ** 2 + (factor * part_below) ** 2 + (part_best * factor_below) ** 2 + scatter * greatest(0, part_best)
    ) AS run_below,
    sqrt(
      (motor_high - motor_mean) ** 2 + (factor * part_above) ** 2 + (part_best * factor_above) ** 2 + scatter * greatest(0, part_best)
    ) AS run_above
  FROM joined
),
-- Bounds of the buckets. Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
clock AS (
  SELECT bucket AS reading FROM whole WHERE bucket IS NOT NULL
  UNION
  SELECT CASE $by WHEN 'day' THEN bucket + INTERVAL 1 DAY WHEN 'week' THEN bucket + INTERVAL 7 DAY ELSE bucket + INTERVAL 1 MONTH END
  FROM whole
  WHERE bucket IS NOT NULL
),
edge AS (
  SELECT
    reading,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR) >= reading THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE) >= reading THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS instant
  FROM (SELECT reading, timezone($zone, reading) AS at_later FROM clock)
)
SELECT
  r.machine,
  coalesce(first_edge.instant, $from::timestamptz) AS "from",
  coalesce(last_edge.instant, $until::timestamptz) AS "until",
  strftime(r.bucket, '%Y-%m-%d') AS "day",
  r.hour_of_week AS "hourOfWeek",
  CASE WHEN r.kind = 'stations' THEN r.sessions END AS sessions,
  CASE WHEN r.kind = 'stations' THEN r.open_sessions END AS "openSessions",
  CASE WHEN r.kind <> 'meter' THEN r.starts END AS starts,
  CASE WHEN r.kind = 'stations' THEN r.members END AS members,
  CASE WHEN r.kind <> 'meter' THEN r.enabled_hours + r.enabled_low END AS "enabledHours_low",
  CASE WHEN r.kind <> 'meter' THEN r.enabled_hours + r.enabled_mean END AS "enabledHours_best",
  CASE WHEN r.kind <> 'meter' THEN r.enabled_hours + r.enabled_high END AS "enabledHours_high",
  CASE
    WHEN r.kind <> 'meter' THEN greatest(least(r.motor_hours + r.motor_low, run_best), run_best - run_below)
    ELSE greatest(0, metered_hours - 1.2815515655446004 * sqrt(metered_variance))
  END AS "runHours_low",
  CASE WHEN r.kind <> 'meter' THEN run_best ELSE metered_hours END AS "runHours_best",
  CASE
    WHEN r.kind <> 'meter' THEN least(
      run_best + run_above,
      greatest(run_best, r.motor_hours + r.motor_high + greatest(1, factor + factor_above) * (part_best + part_above))
    )
    ELSE metered_hours + 1.2815515655446004 * sqrt(metered_variance)
  END AS "runHours_high",
  CASE WHEN r.kind = 'driven' THEN r.load_hours + r.load_low END AS "loadHours_low",
  CASE WHEN r.kind = 'driven' THEN r.load_hours + r.load_mean END AS "loadHours_best",
  CASE WHEN r.kind = 'driven' THEN r.load_hours + r.load_high END AS "loadHours_high"
FROM ranged r
LEFT JOIN edge first_edge ON first_edge.reading = r.bucket
LEFT JOIN edge last_edge ON last_edge.reading = CASE $by
  WHEN 'day' THEN r.bucket + INTERVAL 1 DAY
  WHEN 'week' THEN r.bucket + INTERVAL 7 DAY
  ELSE r.bucket + INTERVAL 1 MONTH
END
ORDER BY r.ordinal NULLS LAST, r.machine, r.bucket, r.hour_of_week;
