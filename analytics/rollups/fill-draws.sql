-- Adds local months to the roll-ups of unseen ends: their days, themselves, and their hours of the week; from hours_draw by hours.
INSERT INTO rollup_draw BY NAME
SELECT tier, machine, label, hour_of_week, measure, sum(COLUMNS('^w[0-9]+$'))
FROM (
  SELECT
    unnest(['day', 'month', 'hour-of-week']) AS tier,
    machine,
    unnest([date_trunc('day', label), date_trunc('month', label), date_trunc('month', label)])::timestamp AS label,
    unnest([NULL, NULL, ((isodow(label) - 1) * 24 + hour(label))::integer])::integer AS hour_of_week,
    measure,
    COLUMNS('^w[0-9]+$')
  FROM hours_draw
)
GROUP BY tier, machine, label, hour_of_week, measure
ORDER BY tier, machine, label;
