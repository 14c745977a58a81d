-- Finds the rows of the log that say the same as an earlier row of it. A hash tells the few that may; all fields tell those that do.
-- Fills log_drop.
INSERT INTO log_drop
WITH suspect AS (
  SELECT hash(occurred_at, station, kind, badge, sequence, detail) AS digest FROM log_stage WHERE state IS NULL AND kind <> 'alive' AND anchor IS NULL
  GROUP BY digest HAVING count(*) > 1
)
SELECT rowid FROM log_stage
WHERE state IS NULL AND kind <> 'alive' AND anchor IS NULL AND hash(occurred_at, station, kind, badge, sequence, detail) IN (SELECT digest FROM suspect)
QUALIFY row_number() OVER (PARTITION BY occurred_at, station, kind, badge, sequence, detail ORDER BY rowid) > 1;
