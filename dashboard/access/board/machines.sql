-- Every machine of the workshop file in its order, with what drives it.
-- Gives: machine, name, "group", room, hazard, kind varchar, from_at, until_at timestamptz, drivers varchar (JSON list).
SELECT
  m.machine,
  m.name,
  m.group_id AS "group",
  m.room,
  m.hazard,
  m.kind,
  m.from_at,
  m.until_at,
  coalesce((SELECT to_json(list(d.driver ORDER BY d.driver)) FROM machine_driver AS d WHERE d.machine = m.machine), '[]')::varchar AS drivers
FROM machine AS m
ORDER BY m.ordinal;
