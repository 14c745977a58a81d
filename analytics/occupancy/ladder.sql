-- How full the shop gets: for every group, room and the whole shop how long 0, 1, 2 … units were in use, and the peak. Units in
-- use are sessions running by their best ends; at one instant ends come before starts; a session of no length is never part.
-- $from, $until timestamptz: the span, until excluded, cut at the as-of time · $as_of timestamptz.
-- Gives: scope varchar (group, room, shop), id varchar, peak integer, peak_at timestamptz, in_use integer, open_seconds double,
-- full_seconds double (of that in_use, hours with every unit in order taken).
WITH span AS (
  SELECT $from::timestamptz AS from_at, $until::timestamptz AS until_at
),
placed AS (
  SELECT
    s.machine,
    coalesce(m.group_id, s.machine) AS group_id,
    m.room,
    greatest(s.started_at, span.from_at) AS from_at,
    least(s.end_best, span.until_at, $as_of::timestamptz) AS until_at
  FROM session s
  CROSS JOIN span
  LEFT JOIN machine m ON m.machine = s.machine
  WHERE s.started_at < span.until_at AND s.end_best > span.from_at AND s.started_at < s.end_best
),
running AS (
  SELECT 'group' AS scope, group_id AS id, machine, from_at, until_at FROM placed WHERE from_at < until_at
  UNION ALL
  SELECT 'room', room, machine, from_at, until_at FROM placed WHERE from_at < until_at AND room IS NOT NULL
  UNION ALL
  SELECT 'shop', 'shop', machine, from_at, until_at FROM placed WHERE from_at < until_at
),
unit AS (
  SELECT machine, group_id, room, coalesce(from_at, '-infinity'::timestamptz) AS from_at, coalesce(until_at, 'infinity'::timestamptz) AS until_at
  FROM machine
  WHERE kind = 'stations'
  UNION ALL
  SELECT DISTINCT machine, machine, NULL, '-infinity'::timestamptz, 'infinity'::timestamptz
  FROM placed
  WHERE machine NOT IN (SELECT machine FROM machine)
),
scoped_unit AS (
  SELECT 'group' AS scope, group_id AS id, machine, from_at, until_at FROM unit
  UNION ALL
  SELECT 'room', room, machine, from_at, until_at FROM unit WHERE room IS NOT NULL
  UNION ALL
  SELECT 'shop', 'shop', machine, from_at, until_at FROM unit
),
scope_list AS (
  SELECT DISTINCT scope, id FROM scoped_unit
),
-- Outages merged per machine, so that overlapping ones take a unit away once.
outage AS (
  SELECT machine, min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(is_new) OVER (PARTITION BY machine ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS run
    FROM (
      SELECT
        machine,
        from_at,
        until_at,
        CASE WHEN from_at <= max(until_at) OVER (PARTITION BY machine ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) THEN 0 ELSE 1 END AS is_new
      FROM machine_outage
      WHERE from_at < until_at
    )
  )
  GROUP BY machine, run
),
opened AS (
  SELECT greatest(o.from_at, span.from_at) AS from_at, least(o.until_at, span.until_at) AS until_at
  FROM opening o, span
  WHERE o.from_at < span.until_at AND o.until_at > span.from_at
  UNION ALL
  SELECT from_at, until_at FROM span WHERE NOT EXISTS (FROM opening)
),
-- Every instant at which something changes; rank 0 ends, rank 1 starts.
step AS (
  SELECT scope, id, from_at AS at_time, 1 AS turn, 1 AS use, 0 AS open, machine, 1 AS busy, 0 AS ready FROM running
  UNION ALL
  SELECT scope, id, until_at, 0, -1, 0, machine, -1, 0 FROM running
  UNION ALL
  SELECT s.scope, s.id, o.from_at, 1, 0, 1, NULL, 0, 0 FROM scope_list s, opened o
  UNION ALL
  SELECT s.scope, s.id, o.until_at, 0, 0, -1, NULL, 0, 0 FROM scope_list s, opened o
  UNION ALL
  SELECT u.scope, u.id, greatest(u.from_at, span.from_at), 1, 0, 0, u.machine, 0, 1 FROM scoped_unit u, span
  WHERE u.from_at < span.until_at AND u.until_at > span.from_at
  UNION ALL
  SELECT u.scope, u.id, u.until_at, 0, 0, 0, u.machine, 0, -1 FROM scoped_unit u, span
  WHERE u.until_at > span.from_at AND u.until_at < span.until_at
  UNION ALL
  SELECT u.scope, u.id, greatest(o.from_at, u.from_at, span.from_at), 0, 0, 0, u.machine, 0, -1
  FROM scoped_unit u JOIN outage o USING (machine), span
  WHERE o.from_at < least(u.until_at, span.until_at) AND o.until_at > greatest(u.from_at, span.from_at)
  UNION ALL
  SELECT u.scope, u.id, least(o.until_at, u.until_at), 1, 0, 0, u.machine, 0, 1
  FROM scoped_unit u JOIN outage o USING (machine), span
  WHERE o.from_at < least(u.until_at, span.until_at) AND o.until_at > greatest(u.from_at, span.from_at)
    AND least(o.until_at, u.until_at) < span.until_at
),
-- Of each unit: is it in order, and taken? 1 or 0, and how that changes the totals of its scope.
unit_step AS (
  SELECT
    scope,
    id,
    machine,
    at_time,
    sum(sum(busy)) OVER unit_time AS busy,
    sum(sum(ready)) OVER unit_time AS ready
  FROM step
  WHERE machine IS NOT NULL
  GROUP BY scope, id, machine, at_time
  WINDOW unit_time AS (PARTITION BY scope, id, machine ORDER BY at_time)
),
unit_change AS (
  SELECT
    scope,
    id,
    at_time,
    sum(is_ready - was_ready) AS ready,
    sum(is_taken - was_taken) AS taken
  FROM (
    SELECT
      scope,
      id,
      at_time,
      (ready > 0)::int AS is_ready,
      (ready > 0 AND busy > 0)::int AS is_taken,
      lag((ready > 0)::int, 1, 0) OVER unit_time AS was_ready,
      lag((ready > 0 AND busy > 0)::int, 1, 0) OVER unit_time AS was_taken
    FROM unit_step
    WINDOW unit_time AS (PARTITION BY scope, id, machine ORDER BY at_time)
  )
  GROUP BY scope, id, at_time
),
total_change AS (
  SELECT scope, id, at_time, sum(use) AS use, sum(open) AS open FROM step GROUP BY scope, id, at_time
),
state AS (
  SELECT
    t.scope,
    t.id,
    t.at_time,
    lead(t.at_time) OVER line AS next_at,
    sum(t.use) OVER line AS in_use,
    sum(t.open) OVER line AS open,
    sum(coalesce(u.ready, 0)) OVER line AS ready,
    sum(coalesce(u.taken, 0)) OVER line AS taken
  FROM total_change t
  LEFT JOIN unit_change u ON u.scope = t.scope AND u.id = t.id AND u.at_time = t.at_time
  WINDOW line AS (PARTITION BY t.scope, t.id ORDER BY t.at_time)
),
peak AS (
  SELECT scope, id, max(in_use) AS peak, min_by(at_time, at_time) FILTER (in_use > 0 AND in_use = top) AS peak_at
  FROM (SELECT *, max(in_use) OVER (PARTITION BY scope, id) AS top FROM state)
  GROUP BY scope, id
),
ladder AS (
  SELECT
    scope,
    id,
    in_use,
    sum(epoch_us(next_at - at_time)) / 1e6 AS open_seconds,
    coalesce(sum(epoch_us(next_at - at_time)) FILTER (ready > 0 AND taken >= ready), 0) / 1e6 AS full_seconds
  FROM state
  WHERE open > 0 AND next_at > at_time
  GROUP BY scope, id, in_use
)
SELECT
  s.scope,
  s.id,
  coalesce(p.peak, 0)::integer AS peak,
  p.peak_at,
  l.in_use::integer AS in_use,
  coalesce(l.open_seconds, 0)::double AS open_seconds,
  coalesce(l.full_seconds, 0)::double AS full_seconds
FROM scope_list s
LEFT JOIN peak p USING (scope, id)
LEFT JOIN ladder l USING (scope, id)
ORDER BY s.scope, s.id, l.in_use;
