-- Plain sessions whose id meets another's, to be told apart with the found. Reads session, found. Adds to found.
INSERT INTO found
SELECT session_id, machine, station, badge, started_at, starts, NULL, NULL, 'release', ended_at, NULL, NULL
FROM session
WHERE session_id IN (SELECT session_id FROM found)
