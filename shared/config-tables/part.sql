-- Writes the parts of the workshop file.
-- $rows JSON list of objects named as the columns of part.
INSERT INTO part BY NAME
SELECT unnest(
  from_json_strict(
    $rows,
    '[{"machine":"VARCHAR","part":"VARCHAR","ordinal":"INTEGER","name":"VARCHAR","class":"VARCHAR","fitted_at":"TIMESTAMPTZ",
       "used_low":"DOUBLE","used_best":"DOUBLE","used_high":"DOUBLE","price":"DOUBLE","lead_days":"DOUBLE","stock":"INTEGER"}]'
  ),
  max_depth := 2
)
