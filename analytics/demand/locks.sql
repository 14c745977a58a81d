-- Whether there are opening hours, so that doors get locked up.
-- Gives: locks boolean.
SELECT EXISTS (FROM opening) AS locks;
