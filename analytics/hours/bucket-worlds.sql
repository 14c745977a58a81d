-- Makes the temporary table hours_world: what unseen ends add by machine, bucket and measure: mean and 10 and 90 % points over the
-- joint worlds, from hours_draw and the roll-ups.
-- $by, $machine, $tier, $tier_from, $tier_until, $day_from, $day_until as for the known parts.
-- Gives the table: machine varchar, bucket timestamp, hour_of_week integer, measure varchar, mean, low, high double, hours.
CREATE OR REPLACE TEMP TABLE hours_world AS
WITH part AS (
  SELECT machine, label, ((isodow(label) - 1) * 24 + hour(label))::integer AS hour_of_week, measure, COLUMNS('^w[0-9]+$')
  FROM hours_draw
  UNION ALL
  SELECT machine, label, hour_of_week, measure, COLUMNS('^w[0-9]+$')
  FROM rollup_draw
  WHERE tier = $tier AND label >= $tier_from::timestamp AND label < $tier_until::timestamp
    AND ($machine::varchar IS NULL OR machine = $machine::varchar)
  UNION ALL
  SELECT machine, label, hour_of_week, measure, COLUMNS('^w[0-9]+$')
  FROM rollup_draw
  WHERE tier = 'day' AND label >= $day_from::timestamp AND label < $day_until::timestamp
    AND NOT (label >= $tier_from::timestamp AND label < $tier_until::timestamp)
    AND ($machine::varchar IS NULL OR machine = $machine::varchar)
),
summed AS (
  SELECT
    machine,
    CASE $by
      WHEN 'day' THEN label
      WHEN 'week' THEN date_trunc('week', label)
      WHEN 'month' THEN date_trunc('month', label)
    END::timestamp AS bucket,
    CASE WHEN $by = 'hour-of-week' THEN hour_of_week END AS hour_of_week,
    measure,
    sum(COLUMNS('^w[0-9]+$')) / 3600
  FROM part
  GROUP BY ALL
),
listed AS (
  SELECT machine, bucket, hour_of_week, measure, list_value(*COLUMNS('^w[0-9]+$')) AS hours FROM summed
)
SELECT
  machine,
  bucket,
  hour_of_week,
  measure,
  list_avg(hours) AS mean,
  list_aggregate(hours, 'quantile_cont', 0.1) AS low,
  list_aggregate(hours, 'quantile_cont', 0.9) AS high
FROM listed;
