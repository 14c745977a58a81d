-- How many stations need care, and whether any has lines of two readings at one instant. Reads careful_station.
-- Gives: many integer, tied boolean.
SELECT count(*)::int AS many, coalesce(bool_or(tied), false) AS tied FROM careful_station
