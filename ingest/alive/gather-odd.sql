-- The log's signs of life that have more to tell and are not stored yet, each once.
-- $from, $until timestamptz: first and last stamp of the log's good rows.
-- Makes log_alive_odd.
CREATE OR REPLACE TABLE log_alive_odd AS
SELECT DISTINCT ON (s.station, s.badge, s.sequence, s.detail, s.anchor, CASE WHEN s.anchor IS NULL THEN s.occurred_at END, CASE WHEN s.anchor IS NULL THEN NULL ELSE s.stamp END)
  s.station, s.occurred_at, b.stored AS badge, s.sequence, s.detail, s.anchor, CASE WHEN s.anchor IS NULL THEN NULL ELSE s.stamp END AS unset_stamp
FROM log_stage AS s LEFT JOIN log_badge AS b ON b.badge = s.badge
WHERE s.state IS NULL AND s.kind = 'alive'
  AND (epoch_us(s.occurred_at) % 1000000 <> 0 OR s.badge IS NOT NULL OR s.detail IS NOT NULL OR s.anchor IS NOT NULL)
  AND NOT EXISTS (
    SELECT 1 FROM alive_odd AS o
    WHERE o.station = s.station AND o.anchor IS NOT DISTINCT FROM s.anchor
      AND CASE WHEN s.anchor IS NULL THEN o.occurred_at = s.occurred_at ELSE o.unset_stamp = s.stamp END
      AND o.badge IS NOT DISTINCT FROM b.stored AND o.sequence IS NOT DISTINCT FROM s.sequence AND o.detail IS NOT DISTINCT FROM s.detail
      AND (o.anchor IS NOT NULL OR o.occurred_at >= $from::TIMESTAMPTZ AND o.occurred_at <= $until::TIMESTAMPTZ)
  );
