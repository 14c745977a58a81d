-- Adds weeks to the roll-ups of known parts, from those of days.
-- $from, $until timestamp: local Mondays, the last excluded.
INSERT INTO rollup
SELECT 'week', machine, date_trunc('week', label)::timestamp AS week, NULL, sum(sessions), sum(starts), sum(enabled_seconds), sum(motor_seconds), sum(factored_seconds), sum(load_seconds)
FROM rollup
WHERE tier = 'day' AND label >= $from::timestamp AND label < $until::timestamp
GROUP BY machine, week
ORDER BY machine, week;
