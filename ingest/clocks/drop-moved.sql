-- Counts the rows of an unset clock that are stored already as duplicates.
-- Fills log_drop.
INSERT INTO log_drop SELECT DISTINCT row_number FROM log_moved WHERE row_number NOT IN (SELECT row_number FROM log_drop);
