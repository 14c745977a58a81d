-- Makes the temporary table demand_line: for every group the instants at which anything changes, with what holds from there on and
-- what held just before. A unit is taken from the first start of a turn to its last end, pauses included; ends come before starts
-- at one instant, since all changes of an instant are taken together.
-- $from, $until timestamptz: the span · $window_minutes double: for so long after all units were taken a start may be one of those
-- who waited.
-- Gives the table: group_id varchar, at_time, next_at timestamptz, slice integer (of demand_slice, 0 = closed), there, fit, free integer
-- (units within their dates; of these in order; of these not taken), held boolean (within a hand-over window), slice_before, fit_before, free_before integer,
-- held_before boolean, starts integer (turns wished for that begin at this instant).
CREATE OR REPLACE TEMP TABLE demand_line AS
WITH unit AS (
  SELECT
    machine,
    group_id,
    greatest(coalesce(from_at, '-infinity'::timestamptz), $from::timestamptz) AS from_at,
    least(coalesce(until_at, 'infinity'::timestamptz), $until::timestamptz) AS until_at
  FROM machine
  WHERE kind = 'stations'
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
step AS (
  SELECT machine, started_at AS at_time, 1 AS use, 0 AS fit FROM demand_turn
  UNION ALL
  SELECT machine, ended_at, -1, 0 FROM demand_turn
  UNION ALL
  SELECT machine, from_at, 0, 1 FROM unit WHERE from_at < until_at
  UNION ALL
  SELECT machine, until_at, 0, -1 FROM unit WHERE from_at < until_at
  UNION ALL
  SELECT u.machine, greatest(o.from_at, u.from_at), 0, -1
  FROM unit u
  JOIN outage o ON o.machine = u.machine AND o.from_at < u.until_at AND o.until_at > u.from_at
  UNION ALL
  SELECT u.machine, least(o.until_at, u.until_at), 0, 1
  FROM unit u
  JOIN outage o ON o.machine = u.machine AND o.from_at < u.until_at AND o.until_at > u.from_at
),
moment AS (
  SELECT machine, at_time, sum(use) AS use, sum(fit) AS fit FROM step GROUP BY machine, at_time
),
unit_line AS (
  SELECT machine, at_time, sum(use) OVER line > 0 AS is_taken, sum(fit) OVER line > 0 AS is_fit
  FROM moment
  WINDOW line AS (PARTITION BY machine ORDER BY at_time)
),
unit_change AS MATERIALIZED (
  SELECT
    machine,
    at_time,
    is_fit::int - lag(is_fit::int, 1, 0) OVER line AS fit,
    (is_fit AND NOT is_taken)::int - lag((is_fit AND NOT is_taken)::int, 1, 0) OVER line AS free
  FROM unit_line
  WINDOW line AS (PARTITION BY machine ORDER BY at_time)
),
door AS (
  SELECT at_time, max(slice) AS slice
  FROM (
    SELECT from_at AS at_time, slice FROM demand_slice
    UNION ALL
    SELECT until_at, 0 FROM demand_slice
  )
  GROUP BY at_time
),
-- What units and people do, without the doors: few enough rows to look back in.
change AS MATERIALIZED (
  SELECT group_id, at_time, sum(there) AS there, sum(fit) AS fit, sum(free) AS free, sum(starts) AS starts
  FROM (
    SELECT u.group_id, c.at_time, 0 AS there, c.fit, c.free, 0 AS starts
    FROM unit_change c
    JOIN unit u ON u.machine = c.machine
    UNION ALL
    SELECT group_id, unnest([from_at, until_at]), unnest([1, -1]), 0, 0, 0 FROM unit WHERE from_at < until_at
    UNION ALL
    SELECT group_id, started_at, 0, 0, 0, 1 FROM demand_turn WHERE is_wish AND started_at >= $from::timestamptz
  )
  GROUP BY group_id, at_time
),
freed AS MATERIALIZED (
  SELECT group_id, at_time
  FROM (
    SELECT group_id, at_time, fit, free, sum(fit) OVER line AS fit_now, sum(free) OVER line AS free_now
    FROM change
    WINDOW line AS (PARTITION BY group_id ORDER BY at_time ROWS UNBOUNDED PRECEDING)
  )
  WHERE fit_now - fit > 0 AND free_now - free <= 0 AND free_now > 0
),
all_at_once AS MATERIALIZED (
  SELECT
    group_id,
    at_time,
    sum(there)::integer AS there,
    sum(fit)::integer AS fit,
    sum(free)::integer AS free,
    sum(starts)::integer AS starts,
    max(slice) AS slice,
    sum(held)::integer AS held
  FROM (
    SELECT group_id, at_time, there, fit, free, starts, NULL::integer AS slice, 0 AS held FROM change
    UNION ALL
    SELECT g.group_id, d.at_time, 0, 0, 0, 0, d.slice, 0 FROM door d, (SELECT DISTINCT group_id FROM unit) g
    UNION ALL
    SELECT group_id, at_time, 0, 0, 0, 0, NULL, 1 FROM freed
    UNION ALL
    SELECT group_id, at_time + to_microseconds(($window_minutes * 6e7)::bigint), 0, 0, 0, 0, NULL, -1 FROM freed
  )
  GROUP BY group_id, at_time
),
-- What held just before is what holds now less what changed.
running AS (
  SELECT
    group_id,
    at_time,
    starts,
    lead(at_time) OVER line AS next_at,
    sum(there) OVER line AS there,
    sum(fit) OVER line AS fit,
    fit AS fit_change,
    sum(free) OVER line AS free,
    free AS free_change,
    sum(held) OVER line AS held,
    held AS held_change,
    coalesce(last_value(slice IGNORE NULLS) OVER line, 0) AS slice,
    coalesce(last_value(slice IGNORE NULLS) OVER before, 0) AS slice_before
  FROM all_at_once
  WINDOW line AS (PARTITION BY group_id ORDER BY at_time ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW),
    before AS (PARTITION BY group_id ORDER BY at_time ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
)
SELECT
  group_id,
  at_time,
  next_at,
  slice,
  there::integer AS there,
  fit::integer AS fit,
  free::integer AS free,
  held > 0 AS held,
  slice_before,
  (fit - fit_change)::integer AS fit_before,
  (free - free_change)::integer AS free_before,
  held - held_change > 0 AS held_before,
  starts
FROM running;
