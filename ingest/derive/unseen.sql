-- Sessions whose end nobody saw, as far as their own station tells.
-- $as_of, $since, $from timestamptz: those that ended before $from are known already. Reads found, event, known_evidence, silence.
-- Makes unseen: session_id, machine, station, badge, started_at, starts, closer (enable, boot, null), bound_at = what came next
-- or the as-of time, evidence_at = still running then for certain: a motor that turned says so (its stop, reported when the
-- circuit opens, up to five seconds late).
CREATE OR REPLACE TEMP TABLE unseen AS
WITH bare AS (
  SELECT session_id, machine, station, badge, started_at, starts, closer, coalesce(closer_at, $as_of::timestamptz) AS bound_at
  FROM found
  WHERE closer IS DISTINCT FROM 'release' AND coalesce(closer_at >= $from::timestamptz, true)
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
  SELECT session.session_id AS session_id, at_time, turning_at
  FROM placed
  WHERE turning_at IS NOT NULL AND at_time <= session.bound_at
  UNION ALL
  SELECT session_id, evidence_at, evidence_at FROM known_evidence
), broken AS (
  -- After a silence it may have been another session's motor.
  SELECT session_id, min(low_at) AS low_at
  FROM bare JOIN silence ON silence.station = bare.station AND high_at > started_at AND low_at < bound_at
  GROUP BY session_id
), turning AS (
  SELECT session_id, max(turning_at) AS turning_at
  FROM evidence LEFT JOIN broken USING (session_id)
  WHERE coalesce(at_time <= low_at, true)
  GROUP BY session_id
)
SELECT bare.*, greatest(started_at, turning_at) AS evidence_at
FROM bare LEFT JOIN turning USING (session_id)
