-- Leaves in log_alive only what is not stored yet.
DELETE FROM log_alive
WHERE EXISTS (
  SELECT 1 FROM log_alive_known AS known
  WHERE known.station = log_alive.station AND known.hour_at = log_alive.hour_at AND known.second = log_alive.second
    AND known.sequence IS NOT DISTINCT FROM log_alive.sequence
);
