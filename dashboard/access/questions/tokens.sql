-- Every token, phone and link that still stands, by purpose and name.
-- $now timestamptz.
-- Gives: purpose, name, hash varchar, made_at timestamptz, made_by varchar, until_at, used_at timestamptz.
SELECT purpose, name, hash, made_at, made_by, until_at, used_at
FROM token
WHERE until_at IS NULL OR until_at > $now::timestamptz
ORDER BY purpose, name, made_at;
