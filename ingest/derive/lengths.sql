-- What the seen sessions of each machine say about length; trusted are those whose two stamps come from one clock.
-- The sample keeps the 256 lowest ids, looked for where about twice as many are.
-- Reads session. Fills machine_length.
INSERT INTO machine_length
WITH seen AS (
  SELECT machine, session_id, (epoch_us(ended_at) - epoch_us(started_at)) / 1e6 AS seconds
  FROM session
  WHERE ended = 'released' AND end_low = end_high
), counted AS (
  SELECT machine, count(*) AS sessions, max(seconds) AS longest_seconds FROM seen GROUP BY machine
), lowest AS (
  SELECT machine, session_id, seconds
  FROM seen JOIN counted USING (machine)
  WHERE sessions <= 512 OR session_id::double <= 512 / sessions * 9223372036854775807
  QUALIFY row_number() OVER (PARTITION BY machine ORDER BY session_id) <= 256
)
SELECT machine, any_value(sessions), any_value(longest_seconds),
  list({session_id: session_id, seconds: seconds} ORDER BY session_id)
FROM counted JOIN lowest USING (machine)
GROUP BY machine
