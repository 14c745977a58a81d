-- Lines of a server that came up with the time it had saved: from a boot stamped more than a minute before the line ahead of it, or
-- where stamps step back though the stations' counters go on, until stamps have caught up with that line. Their clock was not set.
-- A step back of more than two days' lines is none of this; nor is one without boot that holds fewer than three lines or a counter
-- that goes back: those lines are late.
UPDATE log_stage SET state = 'unset', stamp = coalesce(stamp, timezone('UTC', occurred_at))
FROM (
  WITH told AS (
    SELECT rowid AS row_number, kind, sequence, occurred_at, lag(occurred_at) OVER (ORDER BY rowid) AS before_at,
      lag(occurred_at) OVER own AS own_at, lag(sequence) OVER own AS own_sequence
    FROM log_stage WHERE state IS NULL
    WINDOW own AS (PARTITION BY station ORDER BY rowid)
  ), good AS (
    SELECT *, max(CASE WHEN occurred_at < before_at - INTERVAL 1 MINUTE THEN row_number END) OVER (ORDER BY row_number ROWS UNBOUNDED PRECEDING) AS step_row,
      kind <> 'boot' AND coalesce(occurred_at < own_at - INTERVAL 1 MINUTE AND sequence > own_sequence AND sequence < own_sequence + 1000, false) AS counted_on
    FROM told
  ), steps AS (
    SELECT row_number, before_at, true AS booted FROM good WHERE kind = 'boot' AND occurred_at < before_at - INTERVAL 1 MINUTE
    UNION ALL
    SELECT row_number, before_at, false FROM good
    WHERE kind <> 'boot' AND occurred_at < before_at - INTERVAL 1 MINUTE AND row_number IN (SELECT step_row FROM good WHERE counted_on)
  ), spans AS (
    SELECT steps.row_number AS from_row, before_at, booted,
      coalesce((SELECT min(good.row_number) FROM good WHERE good.row_number > steps.row_number AND good.occurred_at >= steps.before_at), 9223372036854775807)
        AS until_row
    FROM steps
  ), sound AS (
    SELECT from_row, until_row FROM spans
    JOIN good ON good.row_number >= from_row AND good.row_number < until_row
    GROUP BY from_row, until_row, booted
    HAVING max(occurred_at) - min(occurred_at) < INTERVAL 2 DAY
      AND (booted OR (count(*) >= 3 AND bool_or(counted_on) AND NOT bool_or(kind <> 'boot' AND coalesce(sequence < own_sequence, false))))
  )
  SELECT DISTINCT good.row_number FROM good JOIN sound ON good.row_number >= from_row AND good.row_number < until_row
) AS back
WHERE back.row_number = log_stage.rowid;
