-- The last line before the walk of stations that started anew without another line in the walk. $walk, $from timestamptz.
-- Reads walked, whole_event. Adds to earlier_line.
INSERT INTO earlier_line
SELECT station, max(occurred_at)
FROM whole_event
WHERE occurred_at < $walk::timestamptz AND station IN (
  SELECT station FROM walked
  WHERE kind = 'boot' AND occurred_at >= $from::timestamptz AND coalesce(before_at < $walk::timestamptz, true))
GROUP BY station
