-- Removes the offsets of a zone.
-- $zone IANA name.
DELETE FROM zone_offset WHERE zone = $zone;
