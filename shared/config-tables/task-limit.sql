-- Writes what the tasks of the workshop file are counted in, one row for each basis.
-- $rows JSON list of {machine, part, task, basis, every, first_after}.
INSERT INTO task_limit BY NAME
SELECT unnest(
  from_json_strict($rows, '[{"machine":"VARCHAR","part":"VARCHAR","task":"VARCHAR","basis":"VARCHAR","every":"DOUBLE","first_after":"DOUBLE"}]'),
  max_depth := 2
)
