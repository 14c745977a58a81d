-- Hour-meter readings up to the as-of time, in order, and the enabled hours from each to the next where the roll-ups know them.
-- $as_of timestamptz · $machine varchar, null = all · $stored boolean: whether the roll-ups hold.
-- Gives: machine varchar, read_at varchar (timestamptz), hours double, next_at varchar, enabled_hours double (null = not known).
WITH line AS (
  SELECT machine, read_at, max(hours) AS hours
  FROM machine_meter
  WHERE read_at <= $as_of::timestamptz AND ($machine::varchar IS NULL OR machine = $machine::varchar)
  GROUP BY machine, read_at
),
pair AS (
  SELECT *, lead(read_at) OVER (PARTITION BY machine ORDER BY read_at) AS next_at FROM line
)
SELECT p.machine, p.read_at::varchar AS read_at, p.hours, p.next_at::varchar AS next_at, r.enabled_hours
FROM pair p
LEFT JOIN rollup_reading r ON $stored::boolean AND r.machine = p.machine AND r.from_at = p.read_at AND r.until_at = p.next_at
ORDER BY p.machine, p.read_at;
