-- A sample of each group's turns of each month, the same every time: how long the unit was taken, how much of it was use, and how long the doors
-- stayed open after its start.
-- $most integer: turns a group and month, at the most · $locks boolean: whether there are doors to be locked up.
-- Gives: "group" varchar, month date, taken_hours, used_hours, open_hours double (infinity where nobody locks up).
SELECT
  t.group_id AS "group",
  s.month,
  (epoch_us(t.ended_at) - epoch_us(t.started_at))::double / 3.6e9 AS taken_hours,
  t.use_seconds / 3600 AS used_hours,
  CASE
    WHEN $locks THEN (epoch_us(s.spell_until) - epoch_us(t.started_at))::double / 3.6e9
    ELSE 'infinity'::double
  END AS open_hours
FROM demand_start t
JOIN demand_slice s ON s.slice = t.slice
QUALIFY row_number() OVER (PARTITION BY t.group_id, s.month ORDER BY hash(t.machine, epoch_us(t.started_at)), t.turn) <= $most
ORDER BY t.turn;
