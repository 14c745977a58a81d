-- Sessions whose end nobody saw, as far as their own station tells.
-- $as_of timestamptz. Reads found.
-- Makes unseen: session_id, machine, station, badge, started_at, starts, closer (enable, boot, null), bound_at = what came next
-- or the as-of time, evidence_at = still running then for certain.
CREATE OR REPLACE TEMP TABLE unseen AS
SELECT session_id, machine, station, badge, started_at, starts, closer,
  coalesce(closer_at, $as_of::timestamptz) AS bound_at,
  started_at AS evidence_at
FROM found
WHERE closer IS DISTINCT FROM 'release'
