-- Stretches in closed hours during which badges were active in a place, cut by opening hours, gaps bridged, and how long at a time one
-- person's badges were the only ones. A badge left in past closing counts until closing, or as long as the motor still turned; an
-- unseen end of what began in open hours is no later than closing, unless something shows that it was.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $zone IANA name · $by_room boolean: a place is a
-- room, else the whole shop · $gap_seconds double · $left_in_seconds double: how long past closing a badge is not left in yet.
-- Gives: place (room or null), "from", "until" timestamptz, owner varchar (of the longest time alone), "longestMinutes" double,
-- "isShared" boolean, people integer (most at once).
WITH log AS (
  SELECT
    coalesce($since::timestamptz - INTERVAL 3 DAY, min(started_at)) AS from_at,
    least(coalesce($until::timestamptz + INTERVAL 3 DAY, 'infinity'::timestamptz), $as_of::timestamptz) AS until_at
  FROM session
),
spell AS MATERIALIZED (
  SELECT min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(coalesce(is_new, false)::int) OVER (ORDER BY from_at ROWS UNBOUNDED PRECEDING) AS spell
    FROM (
      SELECT o.from_at, o.until_at, o.from_at > lag(o.until_at) OVER (ORDER BY o.from_at) AS is_new
      FROM opening o, log
      WHERE o.until_at > log.from_at - INTERVAL 40 DAY AND o.from_at < log.until_at + INTERVAL 40 DAY
    )
  )
  GROUP BY spell
),
closed AS MATERIALIZED (
  SELECT row_number() OVER (ORDER BY shut.from_at) AS span, shut.from_at, shut.until_at
  FROM (
    SELECT coalesce(lag(until_at) OVER (ORDER BY from_at), from_at - INTERVAL 40 DAY) AS from_at, from_at AS until_at FROM spell
    UNION ALL
    SELECT max(until_at), max(until_at) + INTERVAL 40 DAY FROM spell
  ) AS shut, log
  WHERE shut.from_at < shut.until_at AND shut.until_at > log.from_at AND shut.from_at < log.until_at
),
-- Quarters of an hour that lie wholly within one opening spell: most sessions begin and end in those of one, and are done with.
open_quarter AS MATERIALIZED (
  SELECT unnest(range((epoch_ms(from_at) + 899999) // 900000, epoch_ms(until_at) // 900000)) AS quarter, epoch_us(from_at) AS spell
  FROM spell
),
doubtful AS MATERIALIZED (
  SELECT s.session_id, s.machine, s.badge, s.started_at, least(s.end_best, $as_of::timestamptz) AS ended_at,
    s.ended_at IS NOT NULL AS is_seen, least(s.end_low, $as_of::timestamptz) AS end_low
  FROM session s
  JOIN log ON s.started_at < log.until_at AND s.end_best > log.from_at
  LEFT JOIN open_quarter a ON a.quarter = epoch_ms(s.started_at) // 900000
  LEFT JOIN open_quarter b ON b.quarter = epoch_ms(s.end_best) // 900000
  WHERE (a.spell = b.spell) IS NOT TRUE
),
-- The spell that began last before each, found in one pass: joins by order go through every pair here.
bounded AS MATERIALIZED (
  SELECT * EXCLUDE (spell_until)
  FROM (
    SELECT *, last_value(spell_until IGNORE NULLS) OVER (ORDER BY started_at, session_id NULLS FIRST ROWS UNBOUNDED PRECEDING) AS closing_at
    FROM (
      SELECT *, NULL::timestamptz AS spell_until FROM doubtful
      UNION ALL BY NAME
      SELECT from_at AS started_at, until_at AS spell_until FROM spell
    )
  )
  WHERE session_id IS NOT NULL
),
-- When the motor was last known to turn in what went on past closing; motors are met by the hours in which they began.
left_hour AS MATERIALIZED (
  SELECT session_id, machine, started_at, ended_at, closing_at,
    unnest(range(epoch_ms(started_at) // 3600000, epoch_ms(least(ended_at, started_at + INTERVAL 3 DAY)) // 3600000 + 1)) AS hour
  FROM bounded
  WHERE is_seen AND started_at < closing_at AND ended_at > closing_at + to_seconds($left_in_seconds)
),
last_turn AS MATERIALIZED (
  SELECT l.session_id, max(least(m.stop_best, l.ended_at)) AS turned_until
  FROM left_hour l
  JOIN motor m ON m.machine = l.machine AND epoch_ms(m.started_at) // 3600000 = l.hour
    AND m.started_at >= l.started_at AND m.started_at < l.ended_at AND m.stop_best > l.closing_at
  GROUP BY l.session_id
),
cut AS MATERIALIZED (
  SELECT
    b.session_id,
    b.machine,
    b.badge,
    b.started_at,
    CASE
      WHEN b.started_at < b.closing_at AND NOT b.is_seen AND b.ended_at > b.closing_at THEN greatest(b.closing_at, b.end_low)
      WHEN b.started_at < b.closing_at AND b.ended_at > b.closing_at + to_seconds($left_in_seconds) THEN coalesce(t.turned_until, b.closing_at)
      ELSE b.ended_at
    END AS ended_at
  FROM bounded b
  LEFT JOIN last_turn t ON t.session_id = b.session_id
),
holder AS MATERIALIZED (
  SELECT
    badge,
    person,
    CASE WHEN isinf(from_day) THEN '-infinity'::timestamptz ELSE timezone($zone, from_day::timestamp) END AS held_from,
    CASE WHEN isfinite(until_day) THEN timezone($zone, until_day::timestamp) ELSE 'infinity'::timestamptz END AS held_until
  FROM badge_holder
),
piece AS MATERIALIZED (
  SELECT
    CASE WHEN $by_room THEN coalesce(m.room, '') ELSE '' END AS place,
    closed.span,
    coalesce(h.person, 'badge:' || c.badge, 'session:' || c.session_id) AS person,
    greatest(c.started_at, closed.from_at) AS from_at,
    least(c.ended_at, closed.until_at) AS until_at
  FROM (
    SELECT *, unnest(range(epoch_ms(started_at) // 86400000, epoch_ms(least(ended_at, started_at + INTERVAL 40 DAY)) // 86400000 + 1)) AS day FROM cut
  ) AS c
  JOIN (
    SELECT *, unnest(range(epoch_ms(from_at) // 86400000, epoch_ms(until_at) // 86400000 + 1)) AS day FROM closed
  ) AS closed ON closed.day = c.day AND c.started_at < closed.until_at AND c.ended_at > closed.from_at
    -- Once for each pair: on the first day that both have.
    AND c.day = greatest(epoch_ms(c.started_at), epoch_ms(closed.from_at)) // 86400000
  LEFT JOIN machine m ON m.machine = c.machine
  LEFT JOIN holder h ON h.badge = c.badge AND c.started_at >= h.held_from AND c.started_at < h.held_until
),
-- One person's stretches in one: somebody at two machines is one person.
together AS (
  SELECT place, span, person, min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(coalesce(is_new, false)::int) OVER (PARTITION BY place, span, person ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS island
    FROM (
      SELECT *, from_at > max(until_at) OVER (PARTITION BY place, span, person ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS is_new
      FROM piece
    )
  )
  GROUP BY place, span, person, island
),
known_person AS (
  SELECT person, row_number() OVER (ORDER BY person) AS number FROM (SELECT DISTINCT person FROM together)
),
moment AS (
  SELECT place, span, at_time, sum(step) AS step, sum(step * number) AS owner_step
  FROM (
    SELECT place, span, number, unnest([from_at, until_at]) AS at_time, unnest([1, -1]) AS step FROM together JOIN known_person USING (person)
  )
  GROUP BY place, span, at_time
),
segment AS (
  SELECT
    place,
    span,
    at_time AS from_at,
    lead(at_time) OVER line AS until_at,
    sum(step) OVER line AS people,
    -- Where one person is left, the sum of the numbers is that person's.
    sum(owner_step) OVER line AS owner
  FROM moment
  WINDOW line AS (PARTITION BY place, span ORDER BY at_time)
),
stretched AS (
  SELECT *, sum(coalesce(is_new, false)::int) OVER (PARTITION BY place, span ORDER BY from_at ROWS UNBOUNDED PRECEDING) AS stretch
  FROM (
    SELECT *, CASE WHEN people = 1 THEN owner ELSE -1 END AS alone,
      from_at > lag(until_at) OVER (PARTITION BY place, span ORDER BY from_at) + to_seconds($gap_seconds) AS is_new
    FROM segment
    WHERE people > 0
  )
),
turned AS (
  SELECT *, sum(coalesce(is_turn, false)::int) OVER (PARTITION BY place, span, stretch ORDER BY from_at ROWS UNBOUNDED PRECEDING) AS turn
  FROM (
    SELECT *, alone <> lag(alone) OVER (PARTITION BY place, span, stretch ORDER BY from_at) AS is_turn FROM stretched
  )
),
turn AS (
  SELECT place, span, stretch, turn, any_value(alone) AS alone, min(from_at) AS from_at, max(until_at) AS until_at, max(people) AS people,
    sum(epoch_us(until_at) - epoch_us(from_at)) FILTER (people = 1) / 6e7 AS minutes_alone
  FROM turned
  GROUP BY place, span, stretch, turn
),
found AS (
  SELECT
    place,
    min(from_at) AS from_at,
    max(until_at) AS until_at,
    arg_max(alone, minutes_alone) AS owner,
    coalesce(max(minutes_alone), 0) AS longest,
    max(people) AS people
  FROM turn
  GROUP BY place, span, stretch
)
SELECT
  nullif(f.place, '') AS place,
  f.from_at AS "from",
  f.until_at AS "until",
  p.person AS owner,
  f.longest::double AS "longestMinutes",
  f.people > 1 AS "isShared",
  f.people::int AS people
FROM found f
LEFT JOIN known_person p ON p.number = f.owner
WHERE ($until::timestamptz IS NULL OR f.from_at < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR f.until_at > $since::timestamptz)
ORDER BY f.from_at, f.place;
