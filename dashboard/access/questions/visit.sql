-- The visit of one cookie.
-- $hash varchar.
-- Gives: content varchar, account varchar, made_at, seen_at timestamptz.
SELECT content, account, made_at, seen_at FROM visit WHERE hash = $hash;
