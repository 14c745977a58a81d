-- Ends visits: one by its hash, all of an account but perhaps one, or those that are over.
-- $hash, $account, $except varchar, each may be null · $made_before, $seen_before timestamptz, may be null.
DELETE FROM visit
WHERE hash = $hash::varchar
   OR (account = $account::varchar AND hash IS DISTINCT FROM $except::varchar)
   OR made_at < $made_before::timestamptz
   OR seen_at < $seen_before::timestamptz;
