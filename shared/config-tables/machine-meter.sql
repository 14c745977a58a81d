-- Writes all hour-meter readings: the workshop file's and those noted with a service record that counts. Of a task done some time
-- in a span the meter was read at its end. Where the file has a reading for the same moment, that one holds.
INSERT INTO machine_meter
SELECT machine, read_at, hours FROM workshop_meter
UNION ALL
SELECT r.machine, coalesce(r.done_until, r.done_at) AS read_at, max(r.meter_hours)
FROM service_known AS r
WHERE r.meter_hours IS NOT NULL
  AND NOT EXISTS (SELECT 1 FROM workshop_meter AS w WHERE w.machine = r.machine AND w.read_at = coalesce(r.done_until, r.done_at))
GROUP BY ALL
