-- Adds weeks to the roll-ups of unseen ends, from those of days.
-- $from, $until timestamp: local Mondays, the last excluded.
INSERT INTO rollup_draw BY NAME
SELECT 'week' AS tier, machine, date_trunc('week', label)::timestamp AS label, NULL AS hour_of_week, measure, sum(COLUMNS('^w[0-9]+$'))
FROM rollup_draw
WHERE tier = 'day' AND rollup_draw.label >= $from::timestamp AND rollup_draw.label < $until::timestamp
GROUP BY machine, date_trunc('week', rollup_draw.label), measure;
