-- How many lengths of its machine's reference are shorter than each unseen session is known to have been, and how many are no
-- longer than it can have been. One pass in order of length: an ASOF join would go row by row inside a transaction.
-- Reads judged, reference. Makes ranked: session_id, below, upto (bigint).
CREATE OR REPLACE TEMP TABLE ranked AS
WITH mark AS (
  SELECT machine, (epoch_us(end_low) - epoch_us(started_at)) / 1e6 AS seconds, 0 AS place, session_id FROM judged
  UNION ALL
  SELECT machine, unnest(lengths), 1, NULL FROM reference
  UNION ALL
  SELECT machine, (epoch_us(end_high) - epoch_us(started_at)) / 1e6, 2, session_id FROM judged
), counted AS (
  SELECT session_id, place,
    count_if(place = 1) OVER (PARTITION BY machine ORDER BY seconds, place ROWS UNBOUNDED PRECEDING) AS lengths
  FROM mark
)
SELECT session_id, (max(lengths) FILTER (place = 0))::bigint AS below, (max(lengths) FILTER (place = 2))::bigint AS upto
FROM counted
WHERE session_id IS NOT NULL
GROUP BY session_id
