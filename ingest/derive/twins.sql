-- Whether ids meet. Reads found, session (while it holds what released-plainly.sql put there).
-- Gives: found_twins, twins integer: ids too few among the found, and among all.
SELECT
  (SELECT count(*) - count(DISTINCT session_id) FROM found)::int AS found_twins,
  (SELECT count(*) - count(DISTINCT session_id) FROM (SELECT session_id FROM found UNION ALL SELECT session_id FROM session))::int AS twins
