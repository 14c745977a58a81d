-- Adds what came of windows.
-- $noted_at timestamptz · $rows JSON list of {windowId, day}.
INSERT INTO due_outcome
SELECT (r->>'windowId')::bigint, (r->>'day')::date, $noted_at::timestamptz FROM (SELECT unnest($rows::json[]) AS r);
