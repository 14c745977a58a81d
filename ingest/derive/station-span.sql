-- Which machine a station belongs to when: spans cut so that no two of a station overlap.
-- Makes station_span: station, machine, from_at, until_at (excluded).
CREATE OR REPLACE TEMP TABLE station_span AS
SELECT
  station, machine, from_at,
  least(until_at, coalesce(lead(from_at) OVER (PARTITION BY station ORDER BY from_at, machine), 'infinity'::timestamptz)) AS until_at
FROM machine_station
QUALIFY from_at < least(until_at, coalesce(lead(from_at) OVER (PARTITION BY station ORDER BY from_at, machine), 'infinity'::timestamptz))
