-- Whether anything is noted of an earlier reading of a name.
-- $file.
-- Gives: known boolean.
SELECT EXISTS (SELECT 1 FROM reject WHERE file = $file) AS known;
