-- The most persons with a running session at one time, in each room and in the shop; a person with two sessions is one.
-- $from, $until timestamptz: the span, until excluded, cut at the as-of time · $as_of timestamptz.
-- Gives: scope varchar (room, shop), id varchar, peak_people integer, peak_at timestamptz.
WITH span AS (
  SELECT $from::timestamptz AS from_at, $until::timestamptz AS until_at
),
holder AS (
  SELECT
    badge,
    'person:' || person AS person,
    CASE WHEN row_number() OVER held = 1 THEN DATE '-infinity' ELSE valid_from END AS from_day,
    lead(valid_from, 1, DATE 'infinity') OVER held AS until_day
  FROM roster
  WINDOW held AS (PARTITION BY badge ORDER BY valid_from NULLS FIRST, valid_until, person)
),
present AS (
  SELECT
    m.room,
    coalesce(h.person, 'badge:' || s.badge, 'session:' || s.session_id) AS person,
    greatest(s.started_at, span.from_at) AS from_at,
    least(s.end_best, span.until_at, $as_of::timestamptz) AS until_at
  FROM session s
  CROSS JOIN span
  LEFT JOIN machine m ON m.machine = s.machine
  LEFT JOIN holder h ON h.badge = s.badge AND s.started_at::date >= h.from_day AND s.started_at::date < h.until_day
  WHERE s.started_at < span.until_at AND s.end_best > span.from_at AND s.started_at < s.end_best
),
scoped AS (
  SELECT 'room' AS scope, room AS id, person, from_at, until_at FROM present WHERE room IS NOT NULL AND from_at < until_at
  UNION ALL
  SELECT 'shop', 'shop', person, from_at, until_at FROM present WHERE from_at < until_at
),
step AS (
  SELECT scope, id, person, from_at AS at_time, 1 AS use FROM scoped
  UNION ALL
  SELECT scope, id, person, until_at, -1 FROM scoped
),
person_state AS (
  SELECT scope, id, person, at_time, (sum(sum(use)) OVER mine > 0)::int AS is_in
  FROM step
  GROUP BY scope, id, person, at_time
  WINDOW mine AS (PARTITION BY scope, id, person ORDER BY at_time)
),
change AS (
  SELECT scope, id, at_time, sum(is_in - was_in) AS people
  FROM (SELECT *, lag(is_in, 1, 0) OVER (PARTITION BY scope, id, person ORDER BY at_time) AS was_in FROM person_state)
  GROUP BY scope, id, at_time
),
state AS (
  SELECT scope, id, at_time, sum(people) OVER (PARTITION BY scope, id ORDER BY at_time) AS people FROM change
)
SELECT scope, id, max(people)::integer AS peak_people, arg_max(at_time, (people, -epoch_us(at_time))) AS peak_at
FROM state
GROUP BY scope, id;
