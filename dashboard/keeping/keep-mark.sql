-- Notes that a badge's holder was forgotten.
-- $mark, $stand_in varchar · $now timestamptz.
INSERT INTO forgotten (mark, stand_in, forgotten_at) VALUES ($mark, $stand_in, $now::timestamptz);
