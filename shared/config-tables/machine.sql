-- Writes the machines of the workshop file.
-- $rows JSON list of objects named as the columns of machine.
INSERT INTO machine BY NAME
SELECT unnest(
  from_json_strict(
    $rows,
    '[{"machine":"VARCHAR","ordinal":"INTEGER","name":"VARCHAR","group_id":"VARCHAR","room":"VARCHAR","hazard":"VARCHAR",
       "alone":"VARCHAR","kind":"VARCHAR","from_at":"TIMESTAMPTZ","until_at":"TIMESTAMPTZ","run_on_seconds":"DOUBLE",
       "run_factor_low":"DOUBLE","run_factor_best":"DOUBLE","run_factor_high":"DOUBLE","run_factor_fixed":"BOOLEAN"}]'
  ),
  max_depth := 2
)
