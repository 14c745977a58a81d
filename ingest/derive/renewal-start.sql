-- From when on lines that came or went can have changed anything: the hour in which the stretches of life that end thereabouts
-- can have begun to look otherwise.
-- $since timestamptz: the first of them, or the last as-of time if that is earlier. $stations varchar: JSON list.
-- Reads alive_stretch, whole_event. Gives: start_at timestamptz.
WITH touched AS (
  SELECT station, first_at, longest_gap_seconds
  FROM alive_stretch
  WHERE last_at >= $since::timestamptz AND station IN (SELECT unnest($stations::json::varchar[]))
), margin AS (
  SELECT make_timestamptz(epoch_us($since::timestamptz)
    - least(86400, greatest(900, 3 * coalesce(max(longest_gap_seconds), 0)))::bigint * 1000000) AS start_at
  FROM touched
), boot AS (
  -- A boot between two signs of one stretch is judged by the stretch's gap.
  SELECT min(occurred_at) AS boot_at
  FROM whole_event JOIN touched USING (station)
  WHERE kind = 'boot' AND occurred_at >= first_at
    AND occurred_at >= (SELECT min(first_at) FROM touched) AND occurred_at < $since::timestamptz
)
SELECT make_timestamptz(epoch_us(least(start_at, boot_at)) // 3600000000 * 3600000000) AS start_at FROM margin, boot
