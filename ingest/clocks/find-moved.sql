-- The stations whose stored events moved, and the span that holds where they were and where they are.
-- Gives: station varchar, first_at, last_at timestamptz.
SELECT station, min(least(occurred_at, old_at, early_at)) AS first_at, max(greatest(occurred_at, old_at, late_at)) AS last_at
FROM log_moved WHERE is_better GROUP BY station ORDER BY station;
