-- Claims a digest before it is sent, so that nobody else sends it too; no row where it was claimed before.
-- $week date · $role, $recipient varchar · $at timestamptz.
-- Gives: role varchar.
INSERT INTO digest_sent
SELECT $week::date, $role, $recipient, $at::timestamptz, NULL
WHERE NOT EXISTS (SELECT 1 FROM digest_sent WHERE week = $week::date AND role = $role AND recipient = $recipient)
RETURNING role AS "role";
