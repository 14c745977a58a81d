-- Lines of a server that came up with the time it had saved: from a boot stamped more than a minute before the line ahead of it
-- until stamps have caught up with that line. Their clock was not set. A step back of more than two days' lines is none of this.
UPDATE log_stage SET state = 'unset', stamp = coalesce(stamp, timezone('UTC', occurred_at))
FROM (
  WITH good AS (
    SELECT rowid AS row_number, kind, occurred_at, lag(occurred_at) OVER (ORDER BY rowid) AS before_at FROM log_stage WHERE state IS NULL
  ), boots AS (
    SELECT row_number, before_at FROM good WHERE kind = 'boot' AND occurred_at < before_at - INTERVAL 1 MINUTE
  ), spans AS (
    SELECT boots.row_number AS from_row, before_at,
      coalesce((SELECT min(good.row_number) FROM good WHERE good.row_number > boots.row_number AND good.occurred_at >= boots.before_at), 9223372036854775807)
        AS until_row
    FROM boots
  ), sound AS (
    SELECT from_row, until_row FROM spans
    JOIN good ON good.row_number >= from_row AND good.row_number < until_row
    GROUP BY ALL HAVING max(occurred_at) - min(occurred_at) < INTERVAL 2 DAY
  )
  SELECT DISTINCT good.row_number FROM good JOIN sound ON good.row_number >= from_row AND good.row_number < until_row
) AS back
WHERE back.row_number = log_stage.rowid;
