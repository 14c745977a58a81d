-- Notes a value under a name.
-- $key, $value varchar.
INSERT OR REPLACE INTO meta VALUES ($key, $value)
