-- How long the seen sessions of every machine were, as the store keeps it beside them.
-- Gives: machine, "group", name varchar, sessions integer, lengths double[] (ascending seconds of equal weight).
SELECT
  l.machine,
  coalesce(m.group_id, l.machine) AS "group",
  coalesce(m.name, l.machine) AS name,
  l.sessions::int AS sessions,
  l.lengths
FROM machine_length AS l
LEFT JOIN machine AS m ON m.machine = l.machine
ORDER BY l.machine;
