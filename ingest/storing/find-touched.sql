-- The stations that the log's new events are of, and the span.
-- $reading id · $from, $until timestamptz that hold all of them.
-- Gives: station varchar, first_at, last_at timestamptz.
SELECT station, min(least(occurred_at, early_at)) AS first_at, max(greatest(occurred_at, late_at)) AS last_at
FROM event
WHERE reading_id = $reading::INTEGER AND occurred_at >= $from::TIMESTAMPTZ AND occurred_at <= $until::TIMESTAMPTZ
GROUP BY station ORDER BY station;
