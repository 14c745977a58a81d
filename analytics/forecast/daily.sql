-- Use by machine and local day, from hours_piece and hours_draw by days. Unseen ends count with their mean over the joint worlds.
-- $first, $until date: the day that counts as 0, and the first that is not taken.
-- Gives: machine varchar, day integer, motorHours, factoredHours (enabled where no motor events tell), loadHours double, starts,
-- sessions integer; days without use are left out.
WITH drawn AS (
  SELECT
    machine,
    label,
    CASE
      WHEN measure IN ('motor', 'load') THEN measure
      WHEN measure = CASE WHEN machine IN (SELECT machine FROM hours_cover) THEN 'factored' ELSE 'enabled' END THEN 'factored'
    END AS measure,
    list_avg(list_value(*COLUMNS('^w[0-9]+$'))) AS seconds
  FROM hours_draw
),
part AS (
  SELECT machine, label, motor_seconds, factored_seconds, load_seconds, starts, sessions FROM hours_piece
  UNION ALL
  SELECT
    machine,
    label,
    CASE WHEN measure = 'motor' THEN seconds ELSE 0 END,
    CASE WHEN measure = 'factored' THEN seconds ELSE 0 END,
    CASE WHEN measure = 'load' THEN seconds ELSE 0 END,
    0,
    0
  FROM drawn
  WHERE measure IS NOT NULL
)
SELECT
  machine AS "machine",
  (label::date - $first::date)::integer AS "day",
  sum(motor_seconds) / 3600 AS "motorHours",
  sum(factored_seconds) / 3600 AS "factoredHours",
  sum(load_seconds) / 3600 AS "loadHours",
  sum(starts)::integer AS "starts",
  sum(sessions)::integer AS "sessions"
FROM part
WHERE label >= $first::timestamp AND label < $until::timestamp
GROUP BY machine, label
ORDER BY machine, label;
