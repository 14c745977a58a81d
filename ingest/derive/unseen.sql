-- Sessions whose end nobody saw, as far as their own station tells.
-- $as_of, $since timestamptz. Reads found, event.
-- Makes unseen: session_id, machine, station, badge, started_at, starts, closer (enable, boot, null), bound_at = what came next
-- or the as-of time, evidence_at = still running then for certain: a motor that turned says so (its stop, reported when the
-- circuit opens, up to five seconds late).
CREATE OR REPLACE TEMP TABLE unseen AS
WITH bare AS (
  SELECT session_id, machine, station, badge, started_at, starts, closer, coalesce(closer_at, $as_of::timestamptz) AS bound_at
  FROM found
  WHERE closer IS DISTINCT FROM 'release'
), turned AS (
  SELECT station, occurred_at AS at_time, {session_id: NULL::bigint, bound_at: NULL::timestamptz} AS session,
    CASE WHEN kind = 'motor-on' THEN occurred_at ELSE make_timestamptz(epoch_us(occurred_at) - 5000000) END AS turning_at
  FROM event
  WHERE kind IN ('motor-on', 'motor-off')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
    AND station IN (SELECT station FROM bare)
), placed AS (
  SELECT at_time, turning_at,
    last_value(CASE WHEN turning_at IS NULL THEN session END IGNORE NULLS) OVER (
      PARTITION BY station ORDER BY at_time, turning_at NULLS FIRST, session.session_id
      ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW) AS session
  FROM (
    FROM turned
    UNION ALL
    SELECT station, started_at, {session_id: session_id, bound_at: bound_at}, NULL FROM bare
  )
), evidence AS (
  SELECT session.session_id AS session_id, max(turning_at) AS turning_at
  FROM placed
  WHERE turning_at IS NOT NULL AND at_time <= session.bound_at
  GROUP BY ALL
)
SELECT bare.*, greatest(started_at, turning_at) AS evidence_at
FROM bare LEFT JOIN evidence USING (session_id)
