-- Whether a zone's offsets are known and made by this version of DuckDB.
-- $zone IANA name.
-- Gives: known boolean.
SELECT coalesce((SELECT value = version() FROM meta WHERE key = 'zone:' || $zone), false) AS known;
