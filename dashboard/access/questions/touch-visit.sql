-- Notes that a visit goes on.
-- $hash varchar · $now timestamptz.
UPDATE visit SET seen_at = $now::timestamptz WHERE hash = $hash;
