-- New signs of life of the log under way, and what they touch.
-- Gives: station varchar, signs double, first_at, last_at timestamptz.
SELECT station, count(*)::DOUBLE AS signs, min(heard_at) AS first_at, max(heard_at) AS last_at
FROM (
  SELECT station, hour_at + to_seconds(second::INTEGER) AS heard_at FROM log_alive
  UNION ALL
  SELECT station, occurred_at FROM log_alive_odd
)
GROUP BY station ORDER BY station;
