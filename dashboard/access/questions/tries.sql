-- Failed tries of one account or address.
-- $hash varchar.
-- Gives: failed integer, last_at timestamptz.
SELECT failed, last_at FROM sign_in_try WHERE hash = $hash;
