-- Adds an incident hold.
-- $hold_id integer · $from, $until timestamptz · $badge, $machine, $finding varchar or null · $reason varchar · $held_until timestamptz
-- $by varchar · $at timestamptz.
INSERT INTO incident_hold (hold_id, from_at, until_at, badge, machine, finding_id, reason, held_until, held_by, entered_at)
VALUES (
  $hold_id, $from::timestamptz, $until::timestamptz, $badge, $machine, $finding, $reason, $held_until::timestamptz, $by, $at::timestamptz
);
