-- Forgets the tries of one account or address, and all that are old.
-- $hash varchar, may be null · $before timestamptz.
DELETE FROM sign_in_try WHERE hash = $hash::varchar OR last_at < $before::timestamptz;
