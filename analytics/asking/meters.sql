-- Machines whose hour meter was read before, so that one more reading tells run-hours between the two.
-- $as_of timestamptz.
-- Gives: machine varchar.
SELECT DISTINCT machine AS "machine" FROM machine_meter WHERE read_at <= $as_of::timestamptz;
