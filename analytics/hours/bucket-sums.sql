-- Adds to hours_part the known parts by machine and bucket, from hours_piece and from the roll-ups of whole
-- days, weeks or months inside.
-- $by varchar: machine, day, week, month, hour-of-week · $machine varchar, null = all · $tier varchar (none = no roll-ups),
-- $tier_from, $tier_until timestamp: which roll-ups · $day_from, $day_until timestamp: days around them, by the roll-up of days.
INSERT INTO hours_part BY NAME
WITH part AS (
  SELECT machine, label, ((isodow(label) - 1) * 24 + hour(label))::integer AS hour_of_week, sessions, starts, enabled_seconds, motor_seconds, factored_seconds, load_seconds
  FROM hours_piece
  UNION ALL
  SELECT machine, label, hour_of_week, sessions, starts, enabled_seconds, motor_seconds, factored_seconds, load_seconds
  FROM rollup
  WHERE tier = $tier AND label >= $tier_from::timestamp AND label < $tier_until::timestamp
    AND ($machine::varchar IS NULL OR machine = $machine::varchar)
  UNION ALL
  SELECT machine, label, hour_of_week, sessions, starts, enabled_seconds, motor_seconds, factored_seconds, load_seconds
  FROM rollup
  WHERE tier = 'day' AND label >= $day_from::timestamp AND label < $day_until::timestamp
    AND NOT (label >= $tier_from::timestamp AND label < $tier_until::timestamp)
    AND ($machine::varchar IS NULL OR machine = $machine::varchar)
)
SELECT
  machine,
  CASE $by
    WHEN 'day' THEN label
    WHEN 'week' THEN date_trunc('week', label)
    WHEN 'month' THEN date_trunc('month', label)
  END::timestamp AS bucket,
  CASE WHEN $by = 'hour-of-week' THEN hour_of_week END AS hour_of_week,
  sum(sessions)::integer AS sessions,
  sum(starts)::integer AS starts,
  sum(enabled_seconds) / 3600 AS enabled_hours,
  sum(motor_seconds) / 3600 AS motor_hours,
  sum(factored_seconds) / 3600 AS factored_hours,
  sum(load_seconds) / 3600 AS load_hours
FROM part
GROUP BY ALL;
