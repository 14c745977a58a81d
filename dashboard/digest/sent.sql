-- Notes that a digest was taken by the mail server.
-- $week date · $role, $recipient varchar · $at timestamptz.
UPDATE digest_sent SET sent_at = $at::timestamptz WHERE week = $week::date AND role = $role AND recipient = $recipient;
