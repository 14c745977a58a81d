-- Lines stamped by a clock that was not set. What lies between two of them is true within a run of ever later stamps; where the run
-- lies follows from the good lines around it: not before the one ahead, not behind the next, best up against the next, since the
-- setting of the clock ends it. A run with no good line on either side stays unsettled.
-- $earliest year · $now timestamptz, before which all of it happened · $before_us, $before_anchor the good line ahead of the first,
-- where it came in an earlier batch; else null.
UPDATE log_stage
SET state = CASE WHEN settled.anchor IS NULL THEN 'unset' END,
  wrong = CASE WHEN settled.anchor IS NULL THEN strftime(log_stage.stamp, '%Y-%m-%d %H:%M:%S') END,
  occurred_at = settled.best_at, early_at = settled.early_at, late_at = settled.late_at, anchor = settled.anchor,
  repair = CASE WHEN settled.anchor IS NULL THEN repair
                ELSE concat_ws('; ', repair, CASE WHEN settled.has_next THEN 'the clock was not set: placed between the good lines before and behind it'
                  ELSE 'the clock was not set, and is not yet: placed behind the good line before it' END) END
FROM (
  WITH lines AS (
    SELECT s.rowid AS row_number, s.state, s.stamp, s.occurred_at,
      CASE WHEN s.state IS NULL THEN s.rowid END AS good_row
    FROM log_stage AS s WHERE s.state IS NULL OR s.state = 'unset'
  ), placed AS (
    SELECT row_number, state, stamp,
      max(good_row) OVER (ORDER BY row_number ROWS UNBOUNDED PRECEDING) AS row_before,
      min(good_row) OVER (ORDER BY row_number ROWS BETWEEN CURRENT ROW AND UNBOUNDED FOLLOWING) AS row_behind
    FROM lines
  ), unset AS (
    SELECT *, coalesce(stamp < lag(stamp) OVER (PARTITION BY row_before ORDER BY row_number) - INTERVAL 1 MINUTE, false) AS is_back
    FROM placed WHERE state = 'unset'
  ), numbered AS (
    SELECT *, count(*) FILTER (is_back) OVER (PARTITION BY row_before ORDER BY row_number) AS run FROM unset
  ), runs AS (
    SELECT row_before, run, min(stamp) AS first_stamp, max(stamp) AS last_stamp,
      sum(epoch_us(max(stamp)) - epoch_us(min(stamp))) OVER (PARTITION BY row_before ORDER BY run ROWS UNBOUNDED PRECEDING) AS through,
      epoch_us(max(stamp)) - epoch_us(min(stamp)) AS length,
      sum(epoch_us(max(stamp)) - epoch_us(min(stamp))) OVER (PARTITION BY row_before) AS total
    FROM numbered GROUP BY row_before, run
  ), told AS (
    SELECT numbered.row_number, numbered.row_before, numbered.row_behind,
      coalesce(epoch_us(ahead.occurred_at), $before_us::BIGINT) + runs.through - runs.length + epoch_us(numbered.stamp) - epoch_us(runs.first_stamp) AS early_us,
      epoch_us(behind.occurred_at) - (runs.total - runs.through) - (epoch_us(runs.last_stamp) - epoch_us(numbered.stamp)) AS late_us,
      CASE WHEN ahead.rowid IS NULL AND $before_anchor IS NOT NULL THEN $before_anchor ELSE md5(concat_ws('|', CASE WHEN ahead.rowid IS NULL THEN 'behind' ELSE 'ahead' END, epoch_us(anchor.occurred_at), anchor.station, anchor.kind,
        badge.stored, anchor.sequence, anchor.detail)) END AS anchor,
      anchor.rowid IS NOT NULL OR $before_anchor IS NOT NULL AS is_anchored
    FROM numbered JOIN runs ON runs.row_before IS NOT DISTINCT FROM numbered.row_before AND runs.run = numbered.run
    LEFT JOIN log_stage AS ahead ON ahead.rowid = numbered.row_before
    LEFT JOIN log_stage AS behind ON behind.rowid = numbered.row_behind
    LEFT JOIN log_stage AS anchor ON anchor.rowid = coalesce(numbered.row_before, numbered.row_behind)
    LEFT JOIN log_badge AS badge ON badge.badge = anchor.badge
  )
  SELECT row_number, late_us IS NOT NULL AS has_next,
    CASE WHEN is_anchored THEN anchor END AS anchor,
    make_timestamptz(coalesce(greatest(late_us, early_us), early_us)::BIGINT) AS best_at,
    coalesce(make_timestamptz(early_us::BIGINT), timezone('UTC', make_date($earliest::INTEGER, 1, 1)::TIMESTAMP)) AS early_at,
    CASE WHEN late_us IS NULL THEN $now::TIMESTAMPTZ ELSE make_timestamptz(greatest(late_us, early_us)::BIGINT) END AS late_at
  FROM told
) AS settled
WHERE settled.row_number = log_stage.rowid;
