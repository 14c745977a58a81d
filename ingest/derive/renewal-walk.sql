-- From when on lines must be walked so that every session that did not end before an instant is among them; sessions begun
-- more than two days before it and not known to have ended are fetched line by line instead (renewal-old.sql).
-- A session whose start was not seen ended with its release.
-- $start timestamptz. Reads session, motor. Gives: walk_at timestamptz.
SELECT least($start::timestamptz,
  (SELECT min(started_at) FROM session
   WHERE end_high >= $start::timestamptz
     AND NOT (ended = 'released' AND end_draws IS NOT NULL AND ended_at < $start::timestamptz)
     AND NOT (started_at < $start::timestamptz - INTERVAL 2 DAY AND ended IN ('lost', 'open') AND starts = 1)),
  (SELECT min(started_at) FROM motor
   WHERE stop_high >= $start::timestamptz AND started_at >= $start::timestamptz - INTERVAL 2 DAY)) AS walk_at
