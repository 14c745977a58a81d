-- Makes the temporary table hours_cover: where each machine's current sensor is believed to have been at work, so that its motor
-- events are the run-hours. That is from its first motor start to the as-of time, without spells in which more than twenty
-- sessions in a row saw no motor start: there the sensor was silent, from the last stop before to the next start.
-- $as_of timestamptz · $machine varchar, null = all.
-- Gives the table: machine varchar, from_at, until_at timestamptz (infinity while it is at work).
CREATE OR REPLACE TEMP TABLE hours_cover AS
WITH sensor AS (
  SELECT machine, started_at, max(stop_best) OVER (PARTITION BY machine ORDER BY started_at) AS stopped_at
  FROM motor
  WHERE started_at <= $as_of::timestamptz AND ($machine::varchar IS NULL OR machine = $machine::varchar)
),
line AS (
  SELECT machine, started_at, stopped_at, 0 AS is_session FROM sensor
  UNION ALL
  SELECT s.machine, s.started_at, NULL, 1
  FROM session s
  WHERE s.started_at <= $as_of::timestamptz AND s.machine IN (SELECT machine FROM sensor)
),
counted AS (
  SELECT *, sum(is_session) OVER (PARTITION BY machine ORDER BY started_at, is_session DESC ROWS UNBOUNDED PRECEDING) AS sessions_so_far
  FROM line
),
beats AS (
  SELECT
    machine,
    started_at,
    stopped_at,
    lead(started_at) OVER beat AS next_at,
    coalesce(lead(sessions_so_far) OVER beat, last_count) - sessions_so_far AS silent_sessions
  FROM (SELECT *, max(sessions_so_far) OVER (PARTITION BY machine) AS last_count FROM counted)
  WHERE is_session = 0
  WINDOW beat AS (PARTITION BY machine ORDER BY started_at)
),
edges AS (
  SELECT
    *,
    row_number() OVER beat = 1 OR lag(silent_sessions) OVER beat > 20 AS begins,
    silent_sessions > 20 AS breaks
  FROM beats
  WINDOW beat AS (PARTITION BY machine ORDER BY started_at)
),
runs AS (
  SELECT *, sum(begins::int) OVER (PARTITION BY machine ORDER BY started_at ROWS UNBOUNDED PRECEDING) AS run FROM edges
)
SELECT
  machine,
  min(started_at) AS from_at,
  CASE WHEN bool_or(breaks) THEN max(stopped_at) ELSE 'infinity'::timestamptz END AS until_at
FROM runs
GROUP BY machine, run;
