-- How long a machine's station was empty between two of its seen sessions, and whether the same badge came back: what is likely to
-- lie between an end that nobody saw and the next start. Of the days up to the reference's last; of many sessions whole weeks
-- picked evenly, some four thousand sessions.
-- $machines varchar: JSON list of the machines wanted, null = all. Reads session, machine_length. Adds to machine_pause.
INSERT INTO machine_pause
WITH seen AS (
  SELECT machine, badge, epoch_us(started_at) AS from_us, epoch_us(ended_at) AS until_us,
    epoch_us(started_at) // 86400000000 AS day, greatest(1, reference_sessions // 4096) AS every
  FROM session JOIN machine_length USING (machine)
  WHERE ended = 'released' AND end_low = end_high AND started_at < reference_until
    AND ($machines::varchar IS NULL OR machine IN (SELECT unnest($machines::json::varchar[])))
    AND (day // 7 * 40503 % 65536) % every = 0
), pause AS (
  SELECT machine, lead(badge) OVER by_time = badge AS same_badge, (lead(from_us) OVER by_time - until_us) / 1e6 AS seconds
  FROM seen
  WINDOW by_time AS (PARTITION BY machine, day ORDER BY from_us, until_us, badge)
)
SELECT machine, same_badge, pause_bin(seconds), count(*)
FROM pause
WHERE seconds >= 0 AND same_badge IS NOT NULL
GROUP BY machine, same_badge, pause_bin(seconds)
