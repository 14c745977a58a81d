-- Adds a token.
-- $purpose, $name, $hash, $made_by varchar · $made_at, $until_at timestamptz, the latter may be null.
INSERT INTO token (purpose, name, hash, made_at, made_by, until_at, used_at)
VALUES ($purpose, $name, $hash, $made_at::timestamptz, $made_by, $until_at::timestamptz, NULL);
