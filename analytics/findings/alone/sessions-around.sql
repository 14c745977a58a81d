-- Sessions around given stretches: whose, where, and until when at least, best and at most; half a day to either side, so that a
-- visit's first and last badge are among them.
-- $stretches JSON list of {number, place, from, until} · $as_of timestamptz · $zone IANA name · $by_room boolean: only sessions in the
-- stretch's own room.
-- Gives: number integer, person, badge, machine, "machineName", station varchar, "isHazard", "isEndSeen" boolean, "from", "low",
-- "best", "high" timestamptz, "early", "late" timestamptz (nine in ten joint worlds end later, or earlier).
WITH stretch AS MATERIALIZED (
  SELECT (row->>'number')::int AS number, row->>'place' AS place, (row->>'from')::timestamptz AS from_at, (row->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($stretches::json[]) AS row)
),
-- By days, so that each session meets only the stretches of its own; none is longer than two.
near_day AS MATERIALIZED (
  SELECT number, unnest(range(epoch_ms(from_at) // 86400000 - 2, epoch_ms(until_at) // 86400000 + 2)) AS day FROM stretch
),
holder AS MATERIALIZED (
  SELECT
    badge,
    person,
    CASE WHEN isinf(from_day) THEN '-infinity'::timestamptz ELSE timezone($zone, from_day::timestamp) END AS held_from,
    CASE WHEN isfinite(until_day) THEN timezone($zone, until_day::timestamp) ELSE 'infinity'::timestamptz END AS held_until
  FROM badge_holder
)
SELECT
  t.number,
  coalesce(h.person, 'badge:' || s.badge, 'session:' || s.session_id) AS person,
  s.badge,
  s.machine,
  coalesce(m.name, s.machine) AS "machineName",
  s.station,
  (m.alone = 'never' OR (m.alone IS NULL AND m.hazard = 'high')) IS TRUE AS "isHazard",
  s.ended_at IS NOT NULL AND s.ended_at <= $as_of::timestamptz AS "isEndSeen",
  s.started_at AS "from",
  least(s.end_low, $as_of::timestamptz) AS low,
  least(s.end_best, $as_of::timestamptz) AS best,
  least(s.end_high, $as_of::timestamptz) AS high,
  least(coalesce(s.started_at + to_seconds(list_sort(s.end_draws)[len(s.end_draws) // 10]), s.end_low), $as_of::timestamptz) AS early,
  least(coalesce(s.started_at + to_seconds(list_sort(s.end_draws)[len(s.end_draws) * 9 // 10]), s.end_high), $as_of::timestamptz) AS late
FROM session s
JOIN near_day d ON d.day = epoch_ms(s.started_at) // 86400000
JOIN stretch t ON t.number = d.number AND s.started_at < t.until_at + INTERVAL 12 HOUR AND s.end_high > t.from_at - INTERVAL 12 HOUR
LEFT JOIN machine m ON m.machine = s.machine
LEFT JOIN holder h ON h.badge = s.badge AND s.started_at >= h.held_from AND s.started_at < h.held_until
WHERE s.started_at <= $as_of::timestamptz AND (NOT $by_room OR m.room IS NOT DISTINCT FROM t.place)
ORDER BY t.number, s.started_at, s.station;
