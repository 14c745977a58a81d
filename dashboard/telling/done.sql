-- Notes how a try ended: sent, to be tried again, or given up (neither sent nor next).
-- $finding_id, $channel varchar · $sent_at, $next_at timestamptz or null · $problem varchar or null.
UPDATE finding_told SET sent_at = $sent_at::timestamptz, next_at = $next_at::timestamptz, problem = $problem
WHERE finding_id = $finding_id AND channel = $channel;
