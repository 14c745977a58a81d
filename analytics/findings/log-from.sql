-- When the log begins.
-- Gives: "from" timestamptz, null for an empty one.
SELECT min(occurred_at) AS "from" FROM event;
