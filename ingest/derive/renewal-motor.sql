-- Unseen stops of motors in sessions that were drawn anew. Reads judged, session. Updates motor.
UPDATE motor SET stop_best = least(greatest(held.end_best, motor.started_at), motor.stop_high)
FROM (SELECT station, started_at, end_best, end_high FROM session WHERE session_id IN (SELECT session_id FROM judged)) AS held
WHERE motor.stopped_at IS NULL AND motor.station = held.station
  AND motor.started_at >= held.started_at AND motor.started_at < held.end_high
