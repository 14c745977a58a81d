-- The first boot of the ten minutes before an instant. $start timestamptz. Reads whole_event.
-- Gives: start_at timestamptz, the hour of that boot; null if there is none.
SELECT make_timestamptz(epoch_us(min(occurred_at)) // 3600000000 * 3600000000) AS start_at
FROM whole_event
WHERE kind = 'boot' AND occurred_at >= make_timestamptz(epoch_us($start::timestamptz) - 600000000) AND occurred_at < $start::timestamptz
