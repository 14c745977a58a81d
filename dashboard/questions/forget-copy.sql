-- A copy that is no longer there.
-- $path as it was noted.
DELETE FROM copy_made WHERE path = $path;
