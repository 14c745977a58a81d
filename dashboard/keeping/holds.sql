-- Incident holds that keep lines of these badges: those that name one of them, and those that name none and span a line of theirs.
-- $badges JSON list of badges as stored · $now timestamptz.
-- Gives: reason varchar, "heldUntil" timestamptz, "heldBy" varchar.
WITH badges AS (
  SELECT unnest(from_json($badges, '["VARCHAR"]')) AS badge
), uses AS (
  SELECT started_at AS from_at, end_high AS until_at, machine FROM session WHERE badge IN (SELECT badge FROM badges)
  UNION ALL
  SELECT occurred_at, occurred_at, NULL FROM event WHERE badge IN (SELECT badge FROM badges)
)
SELECT h.reason AS "reason", h.held_until AS "heldUntil", h.held_by AS "heldBy"
FROM incident_hold AS h
WHERE h.ended_at IS NULL AND h.held_until > $now::timestamptz AND (
  h.badge IN (SELECT badge FROM badges)
  OR h.badge IS NULL AND EXISTS (
    SELECT 1 FROM uses
    WHERE uses.from_at < h.until_at AND uses.until_at >= h.from_at
      AND (h.machine IS NULL OR uses.machine IS NULL OR uses.machine = h.machine)
  )
)
ORDER BY h.held_until;
