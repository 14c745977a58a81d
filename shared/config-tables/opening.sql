-- Writes the opening hours of local days: the week's, or those of the last exception for the day in its whole stead. Hours past
-- midnight belong to their first day; where staffed and member hours meet, staffed ones hold. Rows never overlap.
-- $zone IANA name · $first_day, $last_day date, both belong
-- $week JSON list of {weekday 1–7 from Monday, state, from_minute, until_minute}
-- $exceptions JSON list of {ordinal, first_day, last_day, spans: list of {state, from_minute, until_minute}}.
INSERT INTO opening
WITH calendar AS (
  SELECT unnest(generate_series($first_day::DATE, $last_day::DATE, INTERVAL 1 DAY))::DATE AS day
), week AS (
  SELECT unnest(from_json_strict($week, '[{"weekday":"INTEGER","state":"VARCHAR","from_minute":"INTEGER","until_minute":"INTEGER"}]'), max_depth := 2)
), exception AS (
  SELECT unnest(
    from_json_strict(
      $exceptions,
      '[{"ordinal":"INTEGER","first_day":"DATE","last_day":"DATE","spans":[{"state":"VARCHAR","from_minute":"INTEGER","until_minute":"INTEGER"}]}]'
    ),
    max_depth := 2
  )
), ruled AS (
  SELECT calendar.day, max(exception.ordinal) AS ordinal, arg_max(exception.spans, exception.ordinal) AS spans
  FROM calendar LEFT JOIN exception ON calendar.day BETWEEN exception.first_day AND exception.last_day
  GROUP BY calendar.day
), clock_span AS (
  SELECT ruled.day, week.state, week.from_minute, week.until_minute
  FROM ruled JOIN week ON week.weekday = isodow(ruled.day)
  WHERE ruled.ordinal IS NULL
  UNION ALL
  SELECT day, unnest(spans, max_depth := 2) FROM ruled WHERE ordinal IS NOT NULL
), edge AS (
  -- Both ends of a span as rows, so that each is asked for once and none is joined: two joins here meet in a cross product.
  SELECT span_id, day, state, unnest([TRUE, FALSE]) AS is_start, day::TIMESTAMP + to_minutes(unnest([from_minute, until_minute])) AS clock
  FROM (SELECT *, row_number() OVER () AS span_id FROM clock_span)
), later AS (
  SELECT *, timezone($zone, clock) AS later_at FROM edge
), both_ways AS (
  -- timezone() takes the later of two; the other is the same clock time by the offset of the day before.
  SELECT *, timezone('UTC', clock - (timezone($zone, later_at - INTERVAL 24 HOUR) - timezone('UTC', later_at - INTERVAL 24 HOUR))) AS other_at
  FROM later
), edge_at AS (
  SELECT *, CASE WHEN timezone($zone, other_at) = clock THEN least(other_at, later_at) ELSE later_at END AS instant
  FROM both_ways
), span AS (
  SELECT
    any_value(day) AS day,
    any_value(state) AS state,
    max(instant) FILTER (WHERE is_start) AS from_at,
    max(instant) FILTER (WHERE NOT is_start) AS until_at
  FROM edge_at
  GROUP BY span_id
  HAVING max(instant) FILTER (WHERE is_start) < max(instant) FILTER (WHERE NOT is_start)
), moment AS (
  SELECT from_at AS instant, 1 AS step, state, day FROM span
  UNION ALL
  SELECT until_at, -1, state, NULL FROM span
), level AS (
  SELECT
    instant,
    coalesce(sum(step) FILTER (WHERE state = 'staffed'), 0) AS staffed_step,
    sum(step) AS open_step,
    max(day) FILTER (WHERE state = 'staffed') AS staffed_day,
    max(day) FILTER (WHERE state = 'member') AS member_day
  FROM moment
  GROUP BY instant
), piece AS (
  SELECT
    instant AS from_at,
    lead(instant) OVER in_time AS until_at,
    sum(staffed_step) OVER in_time > 0 AS is_staffed,
    sum(open_step) OVER in_time > 0 AS is_open,
    last_value(staffed_day IGNORE NULLS) OVER in_time AS staffed_day,
    last_value(member_day IGNORE NULLS) OVER in_time AS member_day
  FROM level
  WINDOW in_time AS (ORDER BY instant)
), held AS (
  SELECT
    from_at,
    until_at,
    CASE WHEN is_staffed THEN 'staffed' ELSE 'member' END AS state,
    CASE WHEN is_staffed THEN staffed_day ELSE member_day END AS day
  FROM piece
  WHERE is_open
), marked AS (
  SELECT
    *,
    lag(until_at) OVER (ORDER BY from_at) IS NOT DISTINCT FROM from_at
      AND lag(state) OVER (ORDER BY from_at) = state
      AND lag(day) OVER (ORDER BY from_at) = day AS goes_on
  FROM held
), numbered AS (
  SELECT *, count(*) FILTER (WHERE NOT goes_on) OVER (ORDER BY from_at) AS run FROM marked
)
SELECT min(from_at) AS from_at, max(until_at) AS until_at, state, day
FROM numbered
GROUP BY run, state, day
ORDER BY from_at
