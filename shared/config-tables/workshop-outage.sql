-- Writes the outages of the workshop file; without an end they last.
-- $rows JSON list of {machine, from_at, until_at, reason}.
INSERT INTO workshop_outage
SELECT machine, from_at, coalesce(until_at, 'infinity'::TIMESTAMPTZ), reason
FROM (
  SELECT unnest(from_json_strict($rows, '[{"machine":"VARCHAR","from_at":"TIMESTAMPTZ","until_at":"TIMESTAMPTZ","reason":"VARCHAR"}]'), max_depth := 2)
)
