-- How many sessions there are.
-- Gives: sessions integer.
SELECT count(*)::integer AS sessions FROM session;
