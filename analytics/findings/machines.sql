-- Where each machine of the workshop file stands.
-- Gives: machine, "group", room varchar.
SELECT machine, group_id AS "group", room FROM machine ORDER BY ordinal;
