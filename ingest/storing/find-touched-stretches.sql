-- The stations that the log's new stretches are of, and the span.
-- $reading id · $from, $until timestamptz that hold all of their starts.
-- Gives: station varchar, first_at, last_at timestamptz.
SELECT station, min(started_at) AS first_at, max(greatest(started_at, finished_at)) AS last_at
FROM stretch
WHERE reading_id = $reading::INTEGER AND started_at >= $from::TIMESTAMPTZ AND started_at <= $until::TIMESTAMPTZ
GROUP BY station ORDER BY station;
