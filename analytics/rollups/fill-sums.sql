-- Adds local months to the roll-ups of known parts: their days, themselves, and their hours of the week; from hours_piece by hours.
INSERT INTO rollup
SELECT tier, machine, label, hour_of_week, sum(sessions), sum(starts), sum(enabled_seconds), sum(motor_seconds), sum(factored_seconds), sum(load_seconds)
FROM (
  SELECT
    unnest(['day', 'month', 'hour-of-week']) AS tier,
    machine,
    unnest([date_trunc('day', label), date_trunc('month', label), date_trunc('month', label)])::timestamp AS label,
    unnest([NULL, NULL, ((isodow(label) - 1) * 24 + hour(label))::integer])::integer AS hour_of_week,
    sessions,
    starts,
    enabled_seconds,
    motor_seconds,
    factored_seconds,
    load_seconds
  FROM hours_piece
)
GROUP BY tier, machine, label, hour_of_week
ORDER BY tier, machine, label;
