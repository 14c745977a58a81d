-- What the roll-ups were made from, and whether the workshop file is still that.
-- $zone IANA name.
-- Gives: first_month, until_month varchar (dates), same_workshop boolean.
SELECT
  first_month::varchar AS first_month,
  until_month::varchar AS until_month,
  zone = $zone AND fingerprint = (SELECT fingerprint FROM workshop_fingerprint(state.until_month)) AS same_workshop
FROM rollup_state AS state;
