-- Makes the temporary table occupancy_peak: the most units in use, over all hours, and the most persons with a running session (a
-- person with two is one), each with the first instant of it.
-- Gives the table: label timestamp, scope, id, what varchar (units, people), peak integer, peak_at timestamptz.
CREATE OR REPLACE TEMP TABLE occupancy_peak AS
WITH placed AS (
  SELECT r.label, r.person, m.room, r.from_at, r.until_at
  FROM occupancy_running r
  LEFT JOIN machine m ON m.machine = r.machine
),
scoped AS (
  SELECT label, 'room' AS scope, room AS id, person, from_at, until_at FROM placed WHERE room IS NOT NULL
  UNION ALL
  SELECT label, 'shop', 'shop', person, from_at, until_at FROM placed
),
step AS (
  SELECT label, scope, id, person, from_at AS at_time, 1 AS use FROM scoped
  UNION ALL
  SELECT label, scope, id, person, until_at, -1 FROM scoped
),
person_line AS (
  SELECT label, scope, id, person, at_time, (sum(sum(use)) OVER line > 0)::int AS is_in
  FROM step
  GROUP BY label, scope, id, person, at_time
  WINDOW line AS (PARTITION BY label, scope, id, person ORDER BY at_time)
),
change AS (
  SELECT label, scope, id, at_time, sum(is_in - was_in) AS people
  FROM (
    SELECT *, lag(is_in, 1, 0) OVER (PARTITION BY label, scope, id, person ORDER BY at_time) AS was_in
    FROM person_line
  )
  GROUP BY label, scope, id, at_time
),
people AS (
  SELECT label, scope, id, at_time, sum(people) OVER (PARTITION BY label, scope, id ORDER BY at_time) AS people FROM change
)
SELECT label, scope, id, 'people' AS what, max(people)::integer AS peak, arg_max(at_time, (people, -epoch_us(at_time))) AS peak_at
FROM people
GROUP BY label, scope, id
UNION ALL
SELECT label, scope, id, 'units', max(in_use), arg_max(at_time, (in_use, -epoch_us(at_time)))
FROM occupancy_state
GROUP BY label, scope, id;
