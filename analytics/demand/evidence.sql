-- What the log shows of queues without any model of demand, by group and month.
-- $pause_minutes double: shorter pauses of one person are within one turn.
-- Gives: "group" varchar, month date, near_turns, returns integer (turns that began one to two pauses after the last on their unit, and
-- of these by the same person), handed_turns, free_turns integer, handed_mean, handed_square, free_mean, free_square double (means of
-- the natural logarithm of the seconds used, and of its square; turns of under ten seconds left out).
WITH beside AS (
  SELECT
    turn,
    is_wish,
    person = lag(person) OVER unit_order AS is_same,
    (epoch_us(started_at) - epoch_us(lag(ended_at) OVER unit_order))::double / 6e7 AS pause_minutes
  FROM demand_turn
  WINDOW unit_order AS (PARTITION BY machine ORDER BY started_at, turn)
)
SELECT
  t.group_id AS "group",
  s.month,
  (count(*) FILTER (b.pause_minutes >= $pause_minutes AND b.pause_minutes < 2 * $pause_minutes))::integer AS near_turns,
  (count(*) FILTER (b.pause_minutes >= $pause_minutes AND b.pause_minutes < 2 * $pause_minutes AND b.is_same))::integer AS returns,
  (count(*) FILTER (t.seen = 'handed' AND t.use_seconds >= 10))::integer AS handed_turns,
  (count(*) FILTER (t.seen = 'free' AND t.use_seconds >= 10))::integer AS free_turns,
  coalesce(round(avg(ln(greatest(t.use_seconds, 1))) FILTER (t.seen = 'handed' AND t.use_seconds >= 10), 9), 0) AS handed_mean,
  coalesce(round(avg(ln(greatest(t.use_seconds, 1)) ** 2) FILTER (t.seen = 'handed' AND t.use_seconds >= 10), 9), 0) AS handed_square,
  coalesce(round(avg(ln(greatest(t.use_seconds, 1))) FILTER (t.seen = 'free' AND t.use_seconds >= 10), 9), 0) AS free_mean,
  coalesce(round(avg(ln(greatest(t.use_seconds, 1)) ** 2) FILTER (t.seen = 'free' AND t.use_seconds >= 10), 9), 0) AS free_square
FROM demand_start t
JOIN demand_slice s ON s.slice = t.slice
JOIN beside b ON b.turn = t.turn
GROUP BY t.group_id, s.month;
