-- Adds to hours_part how many persons began a session, by machine and bucket, each counted once.
-- $by varchar: machine, day, week, month, hour-of-week.
INSERT INTO hours_part BY NAME
SELECT
  machine,
  CASE $by
    WHEN 'day' THEN date_trunc('day', label)
    WHEN 'week' THEN date_trunc('week', label)
    WHEN 'month' THEN date_trunc('month', label)
  END::timestamp AS bucket,
  CASE WHEN $by = 'hour-of-week' THEN ((isodow(label) - 1) * 24 + hour(label))::integer END AS hour_of_week,
  count(DISTINCT person)::integer AS members
FROM hours_member
GROUP BY ALL;
