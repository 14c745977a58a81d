-- When each reading began: the order of readings that logged lines at one instant. Reads whole_event, reading_mode.
-- Makes reading_mode anew, with a row for every reading that logged a line.
CREATE OR REPLACE TEMP TABLE reading_mode AS
SELECT reading_id, coalesce(mode, 'station') AS mode, began.first_at
FROM (SELECT reading_id, min(occurred_at) AS first_at FROM whole_event GROUP BY reading_id) AS began
LEFT JOIN reading_mode USING (reading_id)
