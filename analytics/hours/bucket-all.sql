-- Adds to hours_part a row of nothing for every machine and bucket of the span, for those who want to see them.
-- $by varchar: machine, day, week, month, hour-of-week · $from, $until timestamptz: the span · $machine varchar, null = all ·
-- $zone IANA name.
INSERT INTO hours_part BY NAME
WITH named AS (
  SELECT machine FROM hours_part
  UNION
  SELECT machine FROM machine WHERE $machine::varchar IS NULL OR machine = $machine::varchar
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
)
SELECT n.machine, c.bucket, c.hour_of_week FROM named n, calendar c;
