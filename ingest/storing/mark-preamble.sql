-- Sets aside the rows before the first record, and those that came into the file after it was surveyed.
-- $preamble rows before the first record · $rows of the file as surveyed.
UPDATE log_stage SET state = 'preamble'
WHERE rowid - (SELECT min(rowid) FROM log_stage) < $preamble OR rowid - (SELECT min(rowid) FROM log_stage) >= $rows;
