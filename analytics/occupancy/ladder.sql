-- Makes the temporary table occupancy_ladder: open hours by how many units were in use, from 1 up.
-- Gives the table: label timestamp, scope, id varchar, in_use integer, open_seconds, full_seconds double (of these with every unit in
-- order taken).
CREATE OR REPLACE TEMP TABLE occupancy_ladder AS
SELECT
  label,
  scope,
  id,
  in_use,
  sum((epoch_us(next_at) - epoch_us(at_time))) / 1e6 AS open_seconds,
  coalesce(sum((epoch_us(next_at) - epoch_us(at_time))) FILTER ("full"), 0) / 1e6 AS full_seconds
FROM occupancy_state
WHERE open
GROUP BY label, scope, id, in_use;
