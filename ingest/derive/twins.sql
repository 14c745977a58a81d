-- Whether ids meet. Two plain sessions differ in station or start, so that only their hashes can meet: once in a million logs of
-- five million sessions, and of no consequence; they are not looked for.
-- Reads found, session (while it holds what released-plainly.sql put there).
-- Gives: found_twins, twins integer: ids too few among the found, and ids of found that are a plain session's too.
SELECT
  (SELECT count(*) - count(DISTINCT session_id) FROM found)::int AS found_twins,
  (SELECT count(*) FROM session WHERE session_id IN (SELECT session_id FROM found))::int AS twins
