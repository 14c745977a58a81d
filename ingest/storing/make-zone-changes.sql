-- The spans in which local stamps of a zone mean two instants or none.
-- $zone IANA name, its zone_offset made.
-- Fills zone_change.
INSERT INTO zone_change
WITH changes AS (
  SELECT timezone('UTC', from_utc) AS from_at, lag(offset_seconds) OVER (ORDER BY from_utc) AS before_seconds, offset_seconds AS after_seconds
  FROM zone_offset WHERE zone = $zone
)
SELECT $zone, from_at, from_at + to_seconds(abs(after_seconds - before_seconds)), before_seconds, after_seconds
FROM changes WHERE before_seconds IS NOT NULL;
