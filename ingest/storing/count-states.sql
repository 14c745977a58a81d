-- What became of the log's events: how many rows of each state, and what is to be thought about.
-- Gives: state varchar ('good' where nothing is wrong), rows double, repaired double, alive double, first_at, last_at timestamptz.
SELECT coalesce(state, 'good') AS state, count(*)::DOUBLE AS rows, (count(*) FILTER (repair IS NOT NULL))::DOUBLE AS repaired,
  (count(*) FILTER (kind = 'alive'))::DOUBLE AS alive, min(occurred_at) AS first_at, max(occurred_at) AS last_at
FROM log_stage
WHERE state IS NULL OR state NOT IN ('preamble', 'comment')
GROUP BY ALL;
