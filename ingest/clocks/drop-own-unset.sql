-- Finds the rows of an unset clock that say the same as an earlier one after the same good line.
-- Fills log_drop.
INSERT INTO log_drop
SELECT rowid FROM log_stage
WHERE state IS NULL AND anchor IS NOT NULL AND kind <> 'alive'
QUALIFY row_number() OVER (PARTITION BY anchor, stamp, station, kind, badge, sequence, detail ORDER BY rowid) > 1;
