-- Writes which station was whose, within each machine's own span; null is from ever, or for ever.
-- $rows JSON list of {machine, station, from_at, until_at}.
INSERT INTO machine_station
SELECT machine, station, coalesce(from_at, '-infinity'::TIMESTAMPTZ), coalesce(until_at, 'infinity'::TIMESTAMPTZ)
FROM (
  SELECT unnest(from_json_strict($rows, '[{"machine":"VARCHAR","station":"VARCHAR","from_at":"TIMESTAMPTZ","until_at":"TIMESTAMPTZ"}]'), max_depth := 2)
)
