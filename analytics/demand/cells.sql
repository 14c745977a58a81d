-- How the open time in which each group had a unit went, by local month and hour of the week, and how many turns began in each part of it.
-- Gives: "group" varchar, month date, hour_of_week integer, free_seconds (a unit free and in order, nobody can have waited),
-- full_seconds (all in order taken), window_seconds (free, but within a hand-over window), last_seconds (shortly before locking up),
-- out_seconds (none in order) double, free_turns, handed_turns, last_turns, other_turns integer.
-- Times are summed as whole microseconds, so that they come out the same every time.
WITH spent AS (
  SELECT
    l.group_id,
    s.month,
    s.hour_of_week,
    CASE
      WHEN s.is_last THEN 'last'
      WHEN l.fit <= 0 THEN 'out'
      WHEN l.free <= 0 THEN 'full'
      WHEN l.held THEN 'window'
      ELSE 'free'
    END AS part,
    epoch_us(l.next_at) - epoch_us(l.at_time) AS micros
  FROM demand_line l
  JOIN demand_slice s ON s.slice = l.slice
  WHERE l.next_at IS NOT NULL AND l.there > 0
),
hours AS (
  SELECT
    group_id,
    month,
    hour_of_week,
    coalesce(sum(micros) FILTER (part = 'free'), 0)::double / 1e6 AS free_seconds,
    coalesce(sum(micros) FILTER (part = 'full'), 0)::double / 1e6 AS full_seconds,
    coalesce(sum(micros) FILTER (part = 'window'), 0)::double / 1e6 AS window_seconds,
    coalesce(sum(micros) FILTER (part = 'last'), 0)::double / 1e6 AS last_seconds,
    coalesce(sum(micros) FILTER (part = 'out'), 0)::double / 1e6 AS out_seconds
  FROM spent
  GROUP BY group_id, month, hour_of_week
),
turns AS (
  SELECT
    t.group_id,
    s.month,
    s.hour_of_week,
    (count(*) FILTER (t.seen = 'free'))::integer AS free_turns,
    (count(*) FILTER (t.seen = 'handed'))::integer AS handed_turns,
    (count(*) FILTER (t.seen = 'last'))::integer AS last_turns,
    (count(*) FILTER (t.seen = 'other'))::integer AS other_turns
  FROM demand_start t
  JOIN demand_slice s ON s.slice = t.slice
  GROUP BY t.group_id, s.month, s.hour_of_week
)
SELECT
  h.group_id AS "group",
  h.month,
  h.hour_of_week,
  h.free_seconds,
  h.full_seconds,
  h.window_seconds,
  h.last_seconds,
  h.out_seconds,
  coalesce(t.free_turns, 0) AS free_turns,
  coalesce(t.handed_turns, 0) AS handed_turns,
  coalesce(t.last_turns, 0) AS last_turns,
  coalesce(t.other_turns, 0) AS other_turns
FROM hours h
LEFT JOIN turns t ON t.group_id = h.group_id AND t.month = h.month AND t.hour_of_week = h.hour_of_week
ORDER BY h.group_id, h.month, h.hour_of_week;
