-- What the seen sessions of each machine say about length; trusted are those whose two stamps come from one clock.
-- The sample keeps 256. Reads session. Fills machine_length.
INSERT INTO machine_length
SELECT
  machine, count(*), max(seconds),
  arg_min({session_id: session_id, seconds: seconds}, session_id, 256)
FROM (
  SELECT machine, session_id, epoch(ended_at - started_at) AS seconds
  FROM session
  WHERE ended = 'released' AND end_low = end_high
)
GROUP BY machine
