-- What the store notes under a name.
-- $key varchar.
-- Gives: value varchar, or no row.
SELECT value FROM meta WHERE key = $key
