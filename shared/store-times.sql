-- The first instant at which a zone's clocks show each local time; one that they leave out is moved on by the gap.
-- $zone IANA name · $locals JSON list of local times like 2025-03-01T00:00:00.
-- Gives: local_time varchar as asked, instant varchar (RFC 3339 in UTC, microseconds).
WITH asked AS (
  SELECT DISTINCT unnest(from_json_strict($locals, '["VARCHAR"]')) AS local_time
), later AS (
  SELECT local_time, local_time::TIMESTAMP AS clock, timezone($zone, local_time::TIMESTAMP) AS later_at FROM asked
), both_ways AS (
  -- timezone() takes the later of two; the other is the same clock time by the offset of the day before.
  SELECT *, timezone('UTC', clock - (timezone($zone, later_at - INTERVAL 24 HOUR) - timezone('UTC', later_at - INTERVAL 24 HOUR))) AS other_at
  FROM later
)
SELECT
  local_time,
  strftime(timezone('UTC', CASE WHEN timezone($zone, other_at) = clock THEN least(other_at, later_at) ELSE later_at END), '%Y-%m-%dT%H:%M:%S.%fZ') AS instant
FROM both_ways
