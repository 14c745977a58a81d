-- Makes occupancy_slot: the local days of hours_slot within the months rolled up.
-- $from, $until timestamptz: their local bounds.
-- Gives the table: label timestamp, from_at, until_at timestamptz.
CREATE OR REPLACE TEMP TABLE occupancy_slot AS
SELECT date_trunc('day', label)::timestamp AS label, min(from_at) AS from_at, max(until_at) AS until_at
FROM hours_slot
WHERE from_at >= $from::timestamptz AND from_at < $until::timestamptz
GROUP BY date_trunc('day', label);
