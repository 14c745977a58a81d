-- The fingerprint of all that the roll-ups take from the workshop file.
-- $until_month date: opening hours up to there.
-- Gives: fingerprint varchar.
SELECT fingerprint FROM workshop_fingerprint($until_month::date);
