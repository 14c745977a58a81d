-- Whether an id of a renewed session is another's already. Reads session, window_session, found. Gives: many integer.
SELECT count(*)::int AS many FROM session
WHERE session_id IN (SELECT session_id FROM window_session UNION ALL SELECT session_id FROM found WHERE closer IS DISTINCT FROM 'release')
