-- Writes the hour-meter readings of the workshop file.
-- $rows JSON list of {machine, read_at, hours}.
INSERT INTO workshop_meter BY NAME
SELECT unnest(from_json_strict($rows, '[{"machine":"VARCHAR","read_at":"TIMESTAMPTZ","hours":"DOUBLE"}]'), max_depth := 2)
