-- What became of the log's sessions: how many rows of each state.
-- Gives: state varchar ('good' where nothing is wrong), rows double, first_at, last_at timestamptz of starts.
SELECT coalesce(state, 'good') AS state, count(*)::DOUBLE AS rows, min(started_at) AS first_at, max(started_at) AS last_at
FROM log_session_stage
WHERE state IS NULL OR state <> 'comment'
GROUP BY ALL;
