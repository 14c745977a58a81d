-- Machines where motor events tell.
-- Gives: machine varchar.
SELECT DISTINCT machine AS "machine" FROM hours_cover;
