-- Claims a finding for one channel, so that it is sent by one sender once; nothing where it was claimed before.
-- $finding_id, $channel varchar · $at timestamptz · $message JSON object.
-- Gives: finding_id varchar, one row where it is claimed now.
INSERT INTO finding_told (finding_id, channel, claimed_at, tries, next_at, message)
VALUES ($finding_id, $channel, $at::timestamptz, 0, $at::timestamptz, $message)
ON CONFLICT DO NOTHING
RETURNING finding_id;
