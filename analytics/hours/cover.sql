-- Makes the temporary table hours_cover: where each machine's current sensor is believed to have been at work, so that its motor
-- events are the run-hours. Twenty sessions in a row without a motor start are taken for people who did not switch it on; more
-- for a silent sensor: then from the last stop before to the session of the next start nothing is known, nor before the session of
-- the first start.
-- $as_of timestamptz · $machine varchar, null = all.
-- Gives the table: machine varchar, from_at, until_at timestamptz (-infinity, infinity where no silence bounds it).
CREATE OR REPLACE TEMP TABLE hours_cover AS
WITH sensor AS (
  SELECT machine, started_at, max(coalesce(stopped_at, stop_best)) OVER (PARTITION BY machine ORDER BY started_at) AS stopped_at
  FROM motor
  WHERE started_at <= $as_of::timestamptz AND ($machine::varchar IS NULL OR machine = $machine::varchar)
),
line AS (
  SELECT machine, started_at, stopped_at, 0 AS is_session FROM sensor
  UNION ALL
  SELECT s.machine, s.started_at, greatest(s.ended_at, s.end_high), 1
  FROM session s
  WHERE s.started_at <= $as_of::timestamptz AND s.machine IN (SELECT machine FROM sensor)
),
counted AS (
  SELECT
    *,
    sum(is_session) OVER so_far AS sessions_so_far,
    sum(is_session) OVER (PARTITION BY machine) AS sessions_in_all,
    arg_max(started_at, started_at) FILTER (is_session = 1) OVER so_far AS session_from,
    arg_max(stopped_at, started_at) FILTER (is_session = 1) OVER so_far AS session_until
  FROM line
  WINDOW so_far AS (PARTITION BY machine ORDER BY started_at, is_session DESC ROWS UNBOUNDED PRECEDING)
),
beats AS (
  SELECT
    machine,
    started_at,
    stopped_at,
    CASE WHEN session_until >= started_at THEN session_from ELSE started_at END AS known_from,
    -- The session of this very start is no silence.
    sessions_so_far - coalesce(lag(sessions_so_far) OVER beat, 0) - 1 AS silent_before,
    lag(started_at) OVER beat IS NULL AS is_first,
    coalesce(lead(sessions_so_far) OVER beat - 1, sessions_in_all) - sessions_so_far AS silent_after
  FROM counted
  WHERE is_session = 0
  WINDOW beat AS (PARTITION BY machine ORDER BY started_at)
),
runs AS (
  SELECT *, sum((is_first OR silent_before > 20)::int) OVER (PARTITION BY machine ORDER BY started_at ROWS UNBOUNDED PRECEDING) AS run
  FROM beats
)
SELECT
  machine,
  CASE WHEN bool_or(is_first AND silent_before <= 20) THEN '-infinity'::timestamptz ELSE min(known_from) END AS from_at,
  CASE WHEN bool_or(silent_after > 20) THEN max(stopped_at) ELSE 'infinity'::timestamptz END AS until_at
FROM runs
GROUP BY machine, run;
