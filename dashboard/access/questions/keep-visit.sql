-- Writes a visit; when it began stays as it was.
-- $hash, $account, $content varchar · $now timestamptz.
INSERT INTO visit (hash, account, content, made_at, seen_at)
VALUES ($hash, $account, $content, $now::timestamptz, $now::timestamptz)
ON CONFLICT (hash) DO UPDATE SET account = excluded.account, content = excluded.content, seen_at = excluded.seen_at;
