-- Notes what the roll-ups were made from.
-- $zone IANA name · $first_month, $until_month date.
INSERT INTO rollup_state
SELECT
  $zone,
  (SELECT fingerprint FROM workshop_fingerprint($until_month::date)),
  (SELECT count(*) FROM session),
  (SELECT count(*) FROM motor),
  $first_month::date,
  $until_month::date,
  coalesce((SELECT min(end_high) FROM session WHERE ended = 'open'), 'infinity'::timestamptz);
