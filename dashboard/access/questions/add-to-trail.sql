-- Adds a row to the trail.
-- $entry integer · $at timestamptz · $who, $act, $what, $detail (JSON), $seal varchar.
INSERT INTO trail (entry, at_time, who, act, what, detail, seal)
VALUES ($entry::bigint, $at::timestamptz, $who, $act, $what, $detail, $seal);
