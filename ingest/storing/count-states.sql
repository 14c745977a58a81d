-- What became of the log's events: how many rows of each state, and what is to be thought about.
-- Gives: state varchar ('good' where nothing is wrong), rows, repaired, repaired_alive, alive, boots, locals (stamps without offset), anchored (placed
-- beside a good line), counted (with a sequence number) double, first_at, last_at timestamptz.
SELECT coalesce(state, 'good') AS state, count(*)::DOUBLE AS rows, (count(*) FILTER (repair IS NOT NULL))::DOUBLE AS repaired,
  (count(*) FILTER (kind = 'alive' AND repair IS NOT NULL))::DOUBLE AS repaired_alive,
  (count(*) FILTER (kind = 'alive'))::DOUBLE AS alive, (count(*) FILTER (kind = 'boot'))::DOUBLE AS boots,
  (count(*) FILTER (NOT absolute))::DOUBLE AS locals, count(anchor)::DOUBLE AS anchored, count(sequence)::DOUBLE AS counted, min(occurred_at) AS first_at, max(occurred_at) AS last_at
FROM log_stage
WHERE state IS NULL OR state NOT IN ('preamble', 'comment')
GROUP BY ALL;
