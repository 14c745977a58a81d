-- What was heard of each station before it started again.
-- $as_of, $since, $from timestamptz: boots before $from are known already. Reads walked, earlier_line, event, alive_stretch, unseen. Makes boot_silence: station, boot_at, low_at = its last
-- sign of life before; rhythm_seconds, alive_from_at = longest gap and start of the signs of life that ended there (null where
-- it gives none); ended_session boolean.
CREATE OR REPLACE TEMP TABLE boot_silence AS
WITH boot AS (
  SELECT station, occurred_at AS boot_at, max(greatest(before_at, earlier_at)) AS before_at
  FROM walked LEFT JOIN earlier_line USING (station)
  WHERE kind = 'boot' AND occurred_at >= $from::timestamptz
  GROUP BY ALL
), mark AS (
  SELECT station, boot_at AS at_time, 2 AS place, before_at, NULL::timestamptz AS other_at, NULL AS stretch FROM boot
  UNION ALL
  SELECT station, occurred_at, 0, NULL, occurred_at, NULL
  FROM event
  WHERE kind NOT IN ('enable', 'release', 'boot') AND station IN (SELECT station FROM boot)
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
  UNION ALL
  SELECT station, first_at, 1, NULL, NULL,
    {first_at: first_at, last_at: least(last_at, $as_of::timestamptz),
     -- A lone sign has no rhythm: it keeps the one before.
     gap: last_value(nullif(longest_gap_seconds, 0) IGNORE NULLS) OVER (
       PARTITION BY station ORDER BY first_at ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW)}
  FROM alive_stretch
  WHERE station IN (SELECT station FROM boot) AND first_at <= $as_of::timestamptz
), heard AS (
  SELECT station, at_time AS boot_at, place, before_at,
    last_value(other_at IGNORE NULLS) OVER before AS other_at,
    last_value(stretch IGNORE NULLS) OVER before AS stretch
  FROM mark
  WINDOW before AS (PARTITION BY station ORDER BY at_time, place ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW)
), latest AS (
  SELECT station, boot_at, stretch,
    greatest(before_at, other_at, CASE
      WHEN stretch.last_at < boot_at THEN stretch.last_at
      -- The boot fell between two signs of one stretch: the last before it is not known, but no further back than its gap.
      WHEN stretch.last_at >= boot_at THEN greatest(stretch.first_at, make_timestamptz(epoch_us(boot_at) - (1e6 * coalesce(stretch.gap, 0))::bigint)) END) AS low_at
  FROM heard
  WHERE place = 2
)
SELECT latest.station, boot_at, low_at, stretch.gap AS rhythm_seconds, stretch.first_at AS alive_from_at,
  session_id IS NOT NULL AS ended_session
FROM latest
LEFT JOIN (SELECT station, bound_at, any_value(session_id) AS session_id FROM unseen WHERE closer = 'boot' GROUP BY ALL) AS ended
  ON ended.station = latest.station AND bound_at = boot_at
WHERE low_at < boot_at
