-- The lengths that a session whose end was not heard may have had, weighed by the pause that each would leave before the next
-- start: members often come back within minutes, so that an end shortly before is likelier than the lengths alone would say. The
-- same the other way round where the start was not seen.
-- 256 quantiles of them, of those with three lengths or more between their bounds.
-- Reads judged, ranked, reference, followed, pause_density. Makes weighed: session_id, own double[].
CREATE OR REPLACE TEMP TABLE weighed AS
WITH one AS (
  SELECT session_id, machine, next_badge, (epoch_us(end_high) - epoch_us(started_at)) / 1e6 AS high,
    unnest(lengths[below + 1 : upto : greatest(1, (upto - below) // 128)]) AS seconds
  FROM judged JOIN followed USING (session_id) JOIN ranked USING (session_id) JOIN reference USING (machine)
  WHERE upto - below >= 3
), likely AS (
  SELECT session_id, seconds, density
  FROM one JOIN pause_density AS d ON d.machine = one.machine AND d.next_badge = one.next_badge AND d.bin = pause_bin(high - seconds)
), summed AS (
  SELECT session_id, seconds, density, sum(density) OVER (PARTITION BY session_id ORDER BY seconds ROWS UNBOUNDED PRECEDING) AS upto
  FROM likely
), whole AS (
  SELECT *, max(upto) OVER (PARTITION BY session_id) AS total FROM summed
)
SELECT session_id, list(seconds ORDER BY seconds) AS own
FROM (
  SELECT session_id, seconds,
    unnest(range(ceil(256 * (upto - density) / total - 0.5)::bigint, ceil(256 * upto / total - 0.5)::bigint)) AS place
  FROM whole
)
GROUP BY session_id
