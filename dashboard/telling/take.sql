-- Takes what is to be sent now: while it is being sent, nobody else takes it.
-- $now timestamptz.
-- Gives: finding_id, channel varchar, claimed_at timestamptz, tries integer, message varchar (JSON).
UPDATE finding_told SET next_at = NULL, tries = tries + 1
WHERE sent_at IS NULL AND next_at <= $now::timestamptz
RETURNING finding_id, channel, claimed_at, tries, message;
