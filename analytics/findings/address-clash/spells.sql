-- Spells in which two counters interleave at one address. A run of lines is one whose numbers follow on each other; a run that takes
-- up the numbers of the run before last is a return, which no counter that started anew ever makes. A week without ends a spell.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $least integer: returns that a spell has at least.
-- Gives: station varchar, machine, "machineName" varchar (that claims it), "from", "until" timestamptz, returns integer,
-- "oneCounter", "otherCounter" double (where the two stood at the end).
WITH counted AS (
  SELECT station, occurred_at, sequence, reading_id, line
  FROM event
  WHERE sequence IS NOT NULL
    AND ($until::timestamptz IS NULL OR occurred_at < $until::timestamptz + INTERVAL 15 DAY)
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz - INTERVAL 16 DAY)
  UNION ALL
  -- A sign of life in each quarter of a day is enough.
  SELECT station, hour_at + to_seconds(first_second::double), sequence_steps[1], 0, 0
  FROM alive_hour
  WHERE has_sequence AND (signs = 1 OR epoch_ms(hour_at) // 3600000 % 6 = 0)
    AND ($until::timestamptz IS NULL OR hour_at < $until::timestamptz + INTERVAL 15 DAY)
    AND ($since::timestamptz IS NULL OR hour_at >= $since::timestamptz - INTERVAL 16 DAY)
),
day_spread AS MATERIALIZED (
  SELECT station, epoch_ms(occurred_at) // 86400000 AS day
  FROM counted
  WHERE occurred_at <= $as_of::timestamptz
    AND ($until::timestamptz IS NULL OR occurred_at < $until::timestamptz + INTERVAL 15 DAY)
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz - INTERVAL 15 DAY)
  GROUP BY ALL
  -- A day's lines of one counter lie closer together; days of a counter that started anew are looked at in vain.
  HAVING max(sequence) - min(sequence) > 300
),
around AS MATERIALIZED (
  SELECT DISTINCT station, day + unnest([-1, 0, 1]) AS day FROM day_spread
),
stepped AS (
  SELECT e.station, e.occurred_at, e.sequence, e.reading_id, e.line,
    e.sequence - lag(e.sequence) OVER line_order AS step
  FROM counted e
  JOIN around d ON d.station = e.station AND d.day = epoch_ms(e.occurred_at) // 86400000
  WHERE e.occurred_at <= $as_of::timestamptz
  WINDOW line_order AS (PARTITION BY e.station ORDER BY e.occurred_at, e.reading_id, e.line)
),
numbered AS (
  SELECT *, sum(coalesce(step < -20 OR step > 300, false)::int) OVER (PARTITION BY station ORDER BY occurred_at, reading_id, line ROWS UNBOUNDED PRECEDING) AS run
  FROM stepped
),
run AS (
  SELECT station, run, min(occurred_at) AS first_at, max(occurred_at) AS last_at, min(sequence) AS first_number, max(sequence) AS last_number
  FROM numbered
  GROUP BY station, run
),
beside AS (
  SELECT
    *,
    lag(last_number, 2) OVER in_turn AS before_last,
    lag(last_at, 2) OVER in_turn AS left_at,
    lag(last_number) OVER in_turn AS other_number
  FROM run
  WINDOW in_turn AS (PARTITION BY station ORDER BY run)
),
back AS (
  SELECT * FROM beside WHERE first_number - before_last BETWEEN -3 AND 500 AND first_at - left_at < INTERVAL 7 DAY
),
spelled AS (
  SELECT *, sum(coalesce(is_new, false)::int) OVER (PARTITION BY station ORDER BY first_at ROWS UNBOUNDED PRECEDING) AS spell
  FROM (
    SELECT *, left_at > lag(last_at) OVER (PARTITION BY station ORDER BY first_at) + INTERVAL 7 DAY AS is_new FROM back
  )
),
clash AS (
  SELECT
    station,
    min(left_at) AS from_at,
    max(first_at) AS until_at,
    count(*)::int AS returns,
    arg_max(last_number, first_at)::double AS one_counter,
    arg_max(other_number, first_at)::double AS other_counter
  FROM spelled
  GROUP BY station, spell
  HAVING count(*) >= $least::integer
)
SELECT
  c.station,
  m.machine,
  m.name AS "machineName",
  c.from_at AS "from",
  c.until_at AS "until",
  c.returns,
  c.one_counter AS "oneCounter",
  c.other_counter AS "otherCounter"
FROM clash c
LEFT JOIN machine_station s ON s.station = c.station AND c.from_at >= s.from_at AND c.from_at < s.until_at
LEFT JOIN machine m ON m.machine = s.machine
WHERE ($until::timestamptz IS NULL OR c.from_at < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR c.until_at > $since::timestamptz)
ORDER BY c.from_at, c.station;
