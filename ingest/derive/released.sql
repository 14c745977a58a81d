-- Sessions whose end was seen. Where the clock was set between start and end, the end is bounded by what both stamps allow.
-- $from timestamptz: those that ended before are known already. $rules_version integer. Reads found. Adds to session.
INSERT INTO session
SELECT
  session_id, machine, station, badge, started_at, closer_at, 'released',
  CASE WHEN shifted
    THEN started_at + greatest(INTERVAL 0 SECOND, coalesce(closer_early_at, closer_at) - coalesce(late_at, started_at))
    ELSE closer_at END,
  closer_at,
  CASE WHEN shifted
    THEN greatest(closer_at, started_at + (coalesce(closer_late_at, closer_at) - coalesce(early_at, started_at)))
    ELSE closer_at END AS latest_at,
  starts, NULL, NULL, $rules_version::integer
FROM (
  SELECT *,
    -- Two stamps of one stretch of an unset clock are off by the same amount: their difference is true.
    (early_at IS NOT NULL OR closer_early_at IS NOT NULL)
      AND (started_at - early_at IS DISTINCT FROM closer_at - closer_early_at
        OR late_at - started_at IS DISTINCT FROM closer_late_at - closer_at) AS shifted
  FROM found
  WHERE closer = 'release'
)
WHERE latest_at >= $from::timestamptz
