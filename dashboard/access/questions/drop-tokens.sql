-- Takes away the tokens of one purpose and name, and all that ran out.
-- $purpose, $name varchar · $now timestamptz.
DELETE FROM token WHERE (purpose = $purpose AND name = $name) OR until_at <= $now::timestamptz;
