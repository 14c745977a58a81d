-- Gives a claim back: the mail server refused the digest, so nobody has it.
-- $week date · $role, $recipient varchar.
DELETE FROM digest_sent WHERE week = $week::date AND role = $role AND recipient = $recipient AND sent_at IS NULL;
