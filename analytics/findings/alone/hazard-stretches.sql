-- Stretches in member hours during which one person was alone in a place with a machine enabled that nobody should be alone on. Gaps
-- are bridged as long as nobody else comes.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $zone IANA name · $by_room boolean: a place is a
-- room, else the whole shop · $gap_seconds, $least_minutes double (the gap under a third of the minutes) · $has_hours boolean: without
-- opening hours all hours are members'.
-- Gives: place (room or null), "from", "until" timestamptz, owner varchar.
WITH log AS (
  SELECT
    coalesce($since::timestamptz - INTERVAL 2 DAY, min(started_at)) AS from_at,
    least(coalesce($until::timestamptz + INTERVAL 2 DAY, 'infinity'::timestamptz), $as_of::timestamptz) AS until_at,
    ($least_minutes * 20000)::bigint AS slot_ms
  FROM session
),
member AS MATERIALIZED (
  SELECT min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(coalesce(is_new, false)::int) OVER (ORDER BY from_at ROWS UNBOUNDED PRECEDING) AS spell
    FROM (
      SELECT o.from_at, o.until_at, o.from_at > lag(o.until_at) OVER (ORDER BY o.from_at) AS is_new
      FROM opening o, log
      WHERE o.state = 'member' AND $has_hours AND o.until_at > log.from_at AND o.from_at < log.until_at
    )
  )
  GROUP BY spell
  UNION ALL
  SELECT log.from_at, log.until_at FROM log WHERE NOT $has_hours AND log.from_at < log.until_at
),
holder AS MATERIALIZED (
  SELECT
    badge,
    person,
    CASE WHEN isinf(from_day) THEN '-infinity'::timestamptz ELSE timezone($zone, from_day::timestamp) END AS held_from,
    CASE WHEN isfinite(until_day) THEN timezone($zone, until_day::timestamp) ELSE 'infinity'::timestamptz END AS held_until
  FROM badge_holder
),
known AS MATERIALIZED (
  SELECT
    CASE WHEN $by_room THEN coalesce(m.room, '') ELSE '' END AS place,
    s.session_id,
    coalesce(h.person, 'badge:' || s.badge, 'session:' || s.session_id) AS person,
    (m.alone = 'never' OR (m.alone IS NULL AND m.hazard = 'high')) IS TRUE AS is_hazard,
    s.started_at,
    least(s.end_best, $as_of::timestamptz) AS ended_at
  FROM session s
  JOIN log ON s.started_at < log.until_at AND s.end_best > log.from_at
  LEFT JOIN machine m ON m.machine = s.machine
  LEFT JOIN holder h ON h.badge = s.badge AND s.started_at >= h.held_from AND s.started_at < h.held_until
),
-- Slots of a third of the least minutes: a long enough stretch holds whole ones in which nobody else was active. Only those, and the
-- two beside each run of them, are looked at to the second.
touch AS MATERIALIZED (
  SELECT place, session_id, hash(person) AS person_hash, is_hazard,
    unnest(range(epoch_ms(started_at) // slot_ms, epoch_ms(ended_at) // slot_ms + 1)) AS slot
  FROM known, log
  WHERE started_at < ended_at
),
lonely AS MATERIALIZED (
  SELECT place, slot FROM touch GROUP BY place, slot HAVING min(person_hash) = max(person_hash) AND bool_or(is_hazard)
),
near_slot AS MATERIALIZED (
  SELECT place, slot, slot - row_number() OVER (PARTITION BY place ORDER BY slot) AS island
  FROM (SELECT DISTINCT place, slot + unnest([-1, 0, 1]) AS slot FROM lonely)
),
span AS MATERIALIZED (
  SELECT
    i.place,
    i.island,
    greatest(i.from_at, member.from_at) AS from_at,
    least(i.until_at, member.until_at) AS until_at
  FROM (
    SELECT *, unnest(range(epoch_ms(from_at) // 86400000, epoch_ms(until_at) // 86400000 + 1)) AS day
    FROM (
      SELECT place, island, make_timestamptz(min(slot) * any_value(slot_ms) * 1000) AS from_at, make_timestamptz((max(slot) + 1) * any_value(slot_ms) * 1000) AS until_at
      FROM near_slot, log
      GROUP BY place, island
    )
  ) AS i
  JOIN (
    SELECT *, unnest(range(epoch_ms(from_at) // 86400000, epoch_ms(until_at) // 86400000 + 1)) AS day FROM member
  ) AS member ON member.day = i.day AND i.from_at < member.until_at AND i.until_at > member.from_at
    -- Once for each pair: on the first day that both have.
    AND i.day = greatest(epoch_ms(i.from_at), epoch_ms(member.from_at)) // 86400000
),
piece AS MATERIALIZED (
  SELECT
    span.place,
    epoch_us(span.from_at) AS span,
    k.person,
    k.is_hazard,
    greatest(k.started_at, span.from_at) AS from_at,
    least(k.ended_at, span.until_at) AS until_at
  FROM (SELECT DISTINCT t.session_id, n.place, n.island FROM touch t JOIN near_slot n ON n.place = t.place AND n.slot = t.slot) AS met
  JOIN known k ON k.session_id = met.session_id
  JOIN span ON span.place = met.place AND span.island = met.island AND k.started_at < span.until_at AND k.ended_at > span.from_at
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
  SELECT person, row_number() OVER (ORDER BY person) AS number FROM (SELECT DISTINCT person FROM piece)
),
moment AS (
  SELECT place, span, at_time, sum(step) AS step, sum(owner_step) AS owner_step, sum(hazard_step) AS hazard_step
  FROM (
    SELECT place, span, unnest([from_at, until_at]) AS at_time, unnest([1, -1]) AS step, unnest([number, -number]) AS owner_step, 0 AS hazard_step
    FROM together JOIN known_person USING (person)
    UNION ALL
    SELECT place, span, unnest([from_at, until_at]), 0, 0, unnest([1, -1]) FROM piece WHERE is_hazard
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
    sum(owner_step) OVER line AS owner,
    sum(hazard_step) OVER line AS hazards
  FROM moment
  WINDOW line AS (PARTITION BY place, span ORDER BY at_time)
),
company AS (
  SELECT *, sum(coalesce(people > 1, false)::int) OVER (PARTITION BY place, span ORDER BY from_at ROWS UNBOUNDED PRECEDING) AS meetings FROM segment
),
stretched AS (
  SELECT *, sum(coalesce(is_new, false)::int) OVER (PARTITION BY place, span ORDER BY from_at ROWS UNBOUNDED PRECEDING) AS stretch
  FROM (
    SELECT *,
      from_at > lag(until_at) OVER line + to_seconds($gap_seconds) OR owner <> lag(owner) OVER line OR meetings <> lag(meetings) OVER line AS is_new
    FROM company
    WHERE people = 1 AND hazards > 0
    WINDOW line AS (PARTITION BY place, span ORDER BY from_at)
  )
)
SELECT nullif(place, '') AS place, min(from_at) AS "from", max(until_at) AS "until", any_value(p.person) AS owner
FROM stretched s
JOIN known_person p ON p.number = s.owner
GROUP BY place, span, stretch
HAVING max(until_at) >= min(from_at) + to_seconds($least_minutes * 60)
  AND ($until::timestamptz IS NULL OR min(from_at) < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR max(until_at) > $since::timestamptz)
ORDER BY "from", place;
