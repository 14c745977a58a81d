-- Removes the changes of a zone.
-- $zone IANA name.
DELETE FROM zone_change WHERE zone = $zone;
