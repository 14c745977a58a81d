-- Writes how many tries failed.
-- $hash varchar · $failed integer · $now timestamptz.
INSERT OR REPLACE INTO sign_in_try (hash, failed, last_at) VALUES ($hash, $failed::integer, $now::timestamptz);
