-- Whether no opening hours are given, so that every hour counts as open.
-- Gives: all_open boolean.
SELECT NOT EXISTS (FROM opening) AS all_open;
