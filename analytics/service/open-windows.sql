-- Windows of which nobody knows yet what came of them.
-- $oldest, $today date: issued from the one until before the other.
-- Gives: windowId integer, machine, basis varchar, issuedDay varchar (date), restOfDay, left double.
SELECT
  w.window_id::integer AS "windowId",
  w.machine AS "machine",
  w.basis AS "basis",
  w.issued_day::varchar AS "issuedDay",
  coalesce(w.rest_of_day, 0) AS "restOfDay",
  w.limit_used - w.used AS "left"
FROM due_window AS w
WHERE w.issued_day BETWEEN $oldest::date AND $today::date - 1
  AND NOT EXISTS (FROM due_outcome AS o WHERE o.window_id = w.window_id)
ORDER BY w.window_id;
