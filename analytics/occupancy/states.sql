-- Makes the temporary table occupancy_state: within each slot, for every group, room and the shop, each stretch of time with how
-- many units were in use, whether the shop was open, and how many units were in order and taken. Ends come before starts at one
-- instant, since all changes of an instant are taken together. Stations that no machine claims are groups of their own; in the
-- shop they count as in use, but nobody knows whether they are in order.
-- $all_open boolean: no opening hours are given, every hour counts.
-- Gives the table: label timestamp, scope varchar (group, room, shop), id varchar, at_time, next_at timestamptz, in_use integer,
-- open, full boolean.
CREATE OR REPLACE TEMP TABLE occupancy_state AS
WITH unit AS (
  SELECT
    machine,
    group_id,
    room,
    coalesce(from_at, '-infinity'::timestamptz) AS from_at,
    coalesce(until_at, 'infinity'::timestamptz) AS until_at,
    true AS is_listed
  FROM machine
  WHERE kind = 'stations'
  UNION ALL
  SELECT DISTINCT machine, machine, NULL, '-infinity'::timestamptz, 'infinity'::timestamptz, false
  FROM occupancy_running
  WHERE machine NOT IN (SELECT machine FROM machine)
),
scoped AS (
  SELECT machine, 'group' AS scope, group_id AS id, 1 AS counts FROM unit
  UNION ALL
  SELECT machine, 'room', room, 1 FROM unit WHERE room IS NOT NULL
  UNION ALL
  SELECT machine, 'shop', 'shop', is_listed::int FROM unit
),
-- Overlapping outages take a unit away once.
outage AS (
  SELECT machine, min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(is_new) OVER (PARTITION BY machine ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS run
    FROM (
      SELECT *, CASE WHEN from_at <= max(until_at) OVER before THEN 0 ELSE 1 END AS is_new
      FROM machine_outage
      WHERE from_at < until_at
      WINDOW before AS (PARTITION BY machine ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
    )
  )
  GROUP BY machine, run
),
ready AS (
  SELECT slot.label, u.machine, greatest(u.from_at, slot.from_at) AS from_at, least(u.until_at, slot.until_at) AS until_at
  FROM unit u
  JOIN occupancy_slot slot ON u.from_at < slot.until_at AND u.until_at > slot.from_at
),
away AS (
  SELECT r.label, r.machine, greatest(o.from_at, r.from_at) AS from_at, least(o.until_at, r.until_at) AS until_at
  FROM ready r
  JOIN outage o ON o.machine = r.machine AND o.from_at < r.until_at AND o.until_at > r.from_at
),
step AS (
  SELECT label, machine, from_at AS at_time, 1 AS use, 0 AS fit FROM occupancy_running
  UNION ALL
  SELECT label, machine, until_at, -1, 0 FROM occupancy_running
  UNION ALL
  SELECT label, machine, from_at, 0, 1 FROM ready
  UNION ALL
  SELECT label, machine, until_at, 0, -1 FROM ready
  UNION ALL
  SELECT label, machine, from_at, 0, -1 FROM away
  UNION ALL
  SELECT label, machine, until_at, 0, 1 FROM away
),
moment AS (
  SELECT label, machine, at_time, sum(use) AS use, sum(fit) AS fit FROM step GROUP BY label, machine, at_time
),
unit_line AS (
  SELECT label, machine, at_time, use, sum(use) OVER line AS busy, sum(fit) OVER line AS ready
  FROM moment
  WINDOW line AS (PARTITION BY label, machine ORDER BY at_time)
),
unit_change AS (
  SELECT
    label,
    machine,
    at_time,
    use,
    (ready > 0)::int - lag((ready > 0)::int, 1, 0) OVER line AS fit,
    (ready > 0 AND busy > 0)::int - lag((ready > 0 AND busy > 0)::int, 1, 0) OVER line AS taken
  FROM unit_line
  WINDOW line AS (PARTITION BY label, machine ORDER BY at_time)
),
opened AS (
  SELECT slot.label, greatest(o.from_at, slot.from_at) AS from_at, least(o.until_at, slot.until_at) AS until_at
  FROM opening o
  JOIN occupancy_slot slot ON o.from_at < slot.until_at AND o.until_at > slot.from_at
  WHERE NOT $all_open
  UNION ALL
  SELECT label, from_at, until_at FROM occupancy_slot WHERE $all_open
),
scope_change AS (
  SELECT c.label, s.scope, s.id, c.at_time, c.use, c.fit * s.counts AS fit, c.taken * s.counts AS taken, 0 AS open
  FROM unit_change c
  JOIN scoped s ON s.machine = c.machine
  UNION ALL
  SELECT o.label, s.scope, s.id, unnest([o.from_at, o.until_at]), 0, 0, 0, unnest([1, -1])
  FROM opened o, (SELECT DISTINCT scope, id FROM scoped) s
),
change AS (
  SELECT label, scope, id, at_time, sum(use) AS use, sum(fit) AS fit, sum(taken) AS taken, sum(open) AS open
  FROM scope_change
  GROUP BY label, scope, id, at_time
),
state AS (
  SELECT
    label,
    scope,
    id,
    at_time,
    lead(at_time) OVER line AS next_at,
    sum(use) OVER line AS in_use,
    sum(fit) OVER line AS fit,
    sum(taken) OVER line AS taken,
    sum(open) OVER line AS open
  FROM change
  WINDOW line AS (PARTITION BY label, scope, id ORDER BY at_time)
)
SELECT label, scope, id, at_time, next_at, in_use::integer AS in_use, open > 0 AS open, fit > 0 AND taken >= fit AS full
FROM state
WHERE in_use > 0;
