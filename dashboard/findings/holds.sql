-- Incident holds, latest first.
-- $as_of timestamptz: those entered later are not known; null = all are · $now timestamptz: for which it is told whether one is in force.
-- Gives: id, "from", "until" timestamptz, badge, machine, finding, reason varchar, "heldUntil" timestamptz, by varchar, "enteredAt",
-- "endedAt" timestamptz, "endedBy" varchar, "isInForce" boolean.
SELECT
  hold_id::integer AS id,
  from_at AS "from",
  until_at AS "until",
  badge,
  machine,
  finding_id AS finding,
  reason,
  held_until AS "heldUntil",
  held_by AS by,
  entered_at AS "enteredAt",
  ended_at AS "endedAt",
  ended_by AS "endedBy",
  held_until > $now::timestamptz AND (ended_at IS NULL OR ended_at > $now::timestamptz) AS "isInForce"
FROM incident_hold
WHERE $as_of::timestamptz IS NULL OR entered_at <= $as_of::timestamptz
ORDER BY hold_id DESC;
