-- Makes the temporary table service_motor: motor stretches that can reach into the rest of the local day of a point of service_point.
CREATE OR REPLACE TEMP TABLE service_motor AS
WITH near AS (
  SELECT DISTINCT machine, unnest(range(epoch_us(from_at) // 86400000000 - 1, epoch_us(next_at) // 86400000000 + 1)) AS day
  FROM service_point
)
SELECT m.* FROM motor AS m
WHERE (m.machine, epoch_us(m.started_at) // 86400000000) IN (SELECT (machine, day) FROM near)
  OR m.stop_high > m.started_at + INTERVAL 1 DAY;
