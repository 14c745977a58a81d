-- Makes the temporary table service_session: the sessions that can reach into the rest of the local day of a point of service_point,
-- of its machine or of what drives it.
CREATE OR REPLACE TEMP TABLE service_session AS
WITH RECURSIVE source AS (
  SELECT point, machine, from_at, next_at FROM service_point
  UNION
  SELECT s.point, d.driver, s.from_at, s.next_at FROM source AS s JOIN machine_driver AS d ON d.machine = s.machine
),
near AS (
  -- Days counted in UTC; a session of more than a day is looked for by itself.
  SELECT DISTINCT machine, unnest(range(epoch_us(from_at) // 86400000000 - 1, epoch_us(next_at) // 86400000000 + 1)) AS day
  FROM source
)
SELECT s.*
FROM session AS s
SEMI JOIN near AS n ON n.machine = s.machine AND n.day = epoch_us(s.started_at) // 86400000000
WHERE epoch_us(s.end_high) - epoch_us(s.started_at) <= 86400000000
UNION ALL
SELECT * FROM session WHERE epoch_us(end_high) - epoch_us(started_at) > 86400000000;
