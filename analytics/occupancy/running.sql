-- Adds to occupancy_running the sessions of one window within each slot of occupancy_slot, clipped to it, by their best ends; a
-- session of no length is left out. A badge that the roster knows counts as its person (the one whose validity began last before
-- the session), another as itself, a session without badge as somebody of its own.
-- $from, $until timestamptz: the window · $as_of timestamptz · $zone IANA name.
INSERT INTO occupancy_running
WITH known AS (
  SELECT session_id, machine, badge, started_at, least(coalesce(ended_at, end_best), $as_of::timestamptz) AS until_at
  FROM session
  WHERE started_at < $until::timestamptz AND end_high > $from::timestamptz
),
within_slot AS (
  SELECT k.*, slot.label, greatest(k.started_at, slot.from_at) AS slot_from, least(k.until_at, slot.until_at) AS slot_until
  FROM known k
  JOIN occupancy_slot slot ON k.started_at < slot.until_at AND k.until_at > slot.from_at
    AND slot.from_at < $until::timestamptz AND slot.until_at > $from::timestamptz
)
SELECT
  w.label,
  w.machine,
  coalesce(h.person, 'badge:' || w.badge, 'session:' || w.session_id) AS person,
  w.slot_from AS from_at,
  w.slot_until AS until_at
FROM within_slot w
LEFT JOIN badge_holder h ON h.badge = w.badge AND timezone($zone, w.started_at)::date >= h.from_day AND timezone($zone, w.started_at)::date < h.until_day
WHERE w.slot_from < w.slot_until;
