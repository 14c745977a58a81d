-- How many rows of two tables differ. Reads stored_rows, anew_rows. Gives: missing, extra integer.
SELECT
  (SELECT count(*) FROM (FROM anew_rows EXCEPT ALL FROM stored_rows))::int AS missing,
  (SELECT count(*) FROM (FROM stored_rows EXCEPT ALL FROM anew_rows))::int AS extra
