-- How many machines have a stretch in hours_cover.
-- Gives: machines integer.
SELECT count(DISTINCT machine)::integer AS machines FROM hours_cover;
