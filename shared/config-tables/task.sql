-- Writes the tasks of the workshop file.
-- $rows JSON list of objects named as the columns of task.
INSERT INTO task BY NAME
SELECT unnest(
  from_json_strict(
    $rows,
    '[{"machine":"VARCHAR","part":"VARCHAR","task":"VARCHAR","ordinal":"INTEGER","name":"VARCHAR","renews":"BOOLEAN",
       "inspects":"BOOLEAN","resets":"VARCHAR","at_most":"INTEGER","cost_planned":"DOUBLE","cost_failure":"DOUBLE",
       "isolate":"VARCHAR","who":"VARCHAR","source":"VARCHAR","note":"VARCHAR","reading_name":"VARCHAR","reading_unit":"VARCHAR",
       "reading_limit":"DOUBLE","reading_due":"VARCHAR"}]'
  ),
  max_depth := 2
)
