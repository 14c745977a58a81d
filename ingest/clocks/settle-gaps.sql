-- Stamps in the hour that spring leaves out: rejected, or moved on by the change where the profile allows it.
-- $shifts boolean.
UPDATE log_stage
SET state = CASE WHEN NOT $shifts THEN 'gap' END,
  wrong = CASE WHEN NOT $shifts THEN strftime(log_stage.stamp, '%Y-%m-%d %H:%M:%S') END,
  repair = CASE WHEN $shifts THEN concat_ws('; ', repair, 'moved on out of the hour that spring leaves out') END
FROM log_changing AS c
WHERE c.row_number = log_stage.rowid AND c.after_seconds > c.before_seconds;
