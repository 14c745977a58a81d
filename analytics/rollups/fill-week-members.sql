-- Adds weeks to the roll-ups of persons, from those of days.
-- $from, $until timestamp: local Mondays, the last excluded.
INSERT INTO rollup_member
SELECT 'week', machine, date_trunc('week', label)::timestamp AS week, NULL, chunk, bit_or(persons)
FROM rollup_member
WHERE tier = 'day' AND label >= $from::timestamp AND label < $until::timestamp
GROUP BY machine, week, chunk
ORDER BY machine, week;
