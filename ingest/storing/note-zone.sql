-- Notes by which version of DuckDB a zone's offsets were made.
-- $zone IANA name.
INSERT OR REPLACE INTO meta VALUES ('zone:' || $zone, version());
