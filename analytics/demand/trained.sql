-- Who may use each machine, on the day: how many members, how many of them were never seen at it, and whose permission runs out soon
-- with none to follow.
-- $as_of timestamptz · $zone IANA name · $soon_days integer.
-- Gives: machine, name varchar, refused_members integer (distinct, over the whole log), trained, never_seen, running_out integer.
WITH today AS (
  SELECT timezone($zone, $as_of::timestamptz)::date AS day
),
member AS (
  SELECT
    r.person,
    r.badge,
    r.machines,
    coalesce(r.valid_from, DATE '-infinity') AS from_day,
    coalesce(r.valid_until, DATE 'infinity') AS until_day
  FROM roster r
  WHERE r.role <> 'maintainer'
),
station AS (
  SELECT ordinal, machine, name, group_id FROM machine WHERE kind = 'stations'
),
permitted AS (
  SELECT s.machine, m.person, max(m.until_day) AS until_day
  FROM member m
  CROSS JOIN today t
  JOIN station s ON m.machines = '[]'
    OR list_contains(from_json(m.machines, '["VARCHAR"]'), s.machine)
    OR list_contains(from_json(m.machines, '["VARCHAR"]'), s.group_id)
  WHERE m.until_day >= t.day AND m.from_day <= t.day + $soon_days::integer
  GROUP BY s.machine, m.person
  HAVING bool_or(m.from_day <= t.day)
),
seen AS (
  SELECT DISTINCT s.machine, m.person
  FROM session s
  JOIN member m ON m.badge = s.badge
  WHERE s.started_at <= $as_of::timestamptz
),
refused AS (
  SELECT ms.machine, count(DISTINCT coalesce(m.person, e.badge))::integer AS members
  FROM event e
  JOIN machine_station ms ON ms.station = e.station AND e.occurred_at >= ms.from_at AND e.occurred_at < ms.until_at
  LEFT JOIN (SELECT badge, min(person) AS person FROM member GROUP BY badge) m ON m.badge = e.badge
  WHERE e.kind = 'refuse' AND e.occurred_at <= $as_of::timestamptz
  GROUP BY ms.machine
)
SELECT
  s.machine,
  s.name,
  coalesce(any_value(r.members), 0)::integer AS refused_members,
  count(p.person)::integer AS trained,
  (count(p.person) FILTER (NOT EXISTS (FROM seen v WHERE v.machine = s.machine AND v.person = p.person)))::integer AS never_seen,
  (count(p.person) FILTER (p.until_day <= (SELECT day FROM today) + $soon_days::integer))::integer AS running_out
FROM station s
LEFT JOIN permitted p ON p.machine = s.machine
LEFT JOIN refused r ON r.machine = s.machine
GROUP BY s.ordinal, s.machine, s.name
ORDER BY s.ordinal;
