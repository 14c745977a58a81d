-- Makes the temporary table hours_present: how many persons began a session, by machine and bucket, each counted once.
-- $by varchar: machine, day, week, month, hour-of-week.
-- Gives the table: machine varchar, bucket timestamp, hour_of_week, members integer.
CREATE OR REPLACE TEMP TABLE hours_present AS
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
