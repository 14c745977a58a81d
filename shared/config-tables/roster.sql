-- Writes the roster, its badges as they are stored.
-- $rows JSON list of objects named as the columns of roster, machines a list.
INSERT INTO roster
SELECT badge, person, name, role, valid_from, valid_until, machines::VARCHAR
FROM (
  SELECT unnest(
    from_json_strict(
      $rows,
      '[{"badge":"VARCHAR","person":"VARCHAR","name":"VARCHAR","role":"VARCHAR","valid_from":"DATE","valid_until":"DATE","machines":"JSON"}]'
    ),
    max_depth := 2
  )
)
