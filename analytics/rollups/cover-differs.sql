-- Whether hours_cover is something else than was rolled up.
-- Gives: differs boolean.
SELECT EXISTS (
  (SELECT * FROM hours_cover EXCEPT SELECT * FROM rollup_cover)
  UNION ALL
  (SELECT * FROM rollup_cover EXCEPT SELECT * FROM hours_cover)
) AS differs;
