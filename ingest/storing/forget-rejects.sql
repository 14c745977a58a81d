-- Removes what was noted of the places that are read again.
-- $file · $from, $until lines, until excluded.
DELETE FROM reject WHERE file = $file AND line >= $from AND line < $until;
