-- The newest row of the trail.
-- Gives: entry integer, seal varchar.
SELECT entry::integer AS entry, seal FROM trail ORDER BY entry DESC LIMIT 1;
