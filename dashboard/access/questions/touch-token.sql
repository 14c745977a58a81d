-- Notes that a token was used.
-- $hash varchar · $now timestamptz.
UPDATE token SET used_at = $now::timestamptz WHERE hash = $hash;
