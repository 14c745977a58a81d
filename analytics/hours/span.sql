-- The span an answer is about: its bounds, and the local days and tiers of roll-ups that lie wholly inside.
-- $since, $until timestamptz, null = as far as the log and the as-of time go · $as_of timestamptz · $zone IANA name ·
-- $cover_from, $cover_until date: the local days that are rolled up, the last excluded, null = none.
-- Gives, all varchar: from_at, until_at timestamptz (cut at the as-of time), until_sharp (a microsecond later where it is the
-- as-of time that cuts: what happened at that very instant is known), log_from timestamptz; first_day, last_day date (rolled-up
-- days that lie wholly inside, the last excluded) and their midnights first_day_at, last_day_at; the same for whole weeks
-- (first_week, last_week) and months (first_month, last_month, first_month_at, last_month_at). Empty where first = last.
WITH reach AS (
  SELECT min(first_at) AS first_at
  FROM (
    SELECT min(occurred_at) AS first_at FROM event
    UNION ALL
    SELECT min(started_at) FROM session
    UNION ALL
    SELECT min(started_at) FROM motor
    UNION ALL
    SELECT min(first_at) FROM alive_stretch
  )
),
bounds AS (
  SELECT
    coalesce($since::timestamptz, least(first_at, $as_of::timestamptz), $as_of::timestamptz) AS from_at,
    least(coalesce($until::timestamptz, $as_of::timestamptz), $as_of::timestamptz) AS until_at,
    least(coalesce($until::timestamptz, 'infinity'::timestamptz), $as_of::timestamptz + INTERVAL 1 MICROSECOND) AS until_sharp,
    coalesce(first_at, $as_of::timestamptz) AS log_from
  FROM reach
),
near AS (
  SELECT timezone($zone, from_at)::date AS from_day, timezone($zone, until_at)::date AS until_day FROM bounds
),
-- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
midnight AS (
  SELECT
    day,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR)::date = day THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE)::date = day THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS starts_at
  FROM (
    SELECT day, timezone($zone, day::timestamp) AS at_later
    FROM (SELECT unnest([from_day, (from_day + INTERVAL 1 DAY)::date, until_day]) AS day FROM near)
  )
),
edge AS (
  SELECT
    (SELECT min(day) FROM midnight WHERE starts_at >= from_at) AS first_day,
    (SELECT max(day) FROM midnight WHERE starts_at <= until_at) AS last_day
  FROM bounds
),
inside AS (
  SELECT greatest(first_day, $cover_from::date) AS first_day, least(last_day, $cover_until::date) AS last_day
  FROM edge
  WHERE $cover_from IS NOT NULL AND first_day IS NOT NULL AND last_day IS NOT NULL
),
whole AS (
  SELECT
    first_day,
    last_day,
    date_trunc('week', first_day + INTERVAL 6 DAY)::date AS first_week,
    date_trunc('week', last_day)::date AS last_week,
    date_trunc('month', first_day + INTERVAL 1 MONTH - INTERVAL 1 DAY)::date AS first_month,
    date_trunc('month', last_day)::date AS last_month
  FROM inside
  WHERE first_day < last_day
),
instant AS (
  SELECT
    day,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR)::date = day THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE)::date = day THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS starts_at
  FROM (
    SELECT day, timezone($zone, day::timestamp) AS at_later
    FROM (SELECT DISTINCT unnest([first_day, last_day, first_month, last_month]) AS day FROM whole)
  )
)
SELECT
  from_at::varchar AS from_at,
  until_at::varchar AS until_at,
  until_sharp::varchar AS until_sharp,
  log_from::varchar AS log_from,
  first_day::varchar AS first_day,
  last_day::varchar AS last_day,
  first_week::varchar AS first_week,
  greatest(first_week, last_week)::varchar AS last_week,
  first_month::varchar AS first_month,
  greatest(first_month, last_month)::varchar AS last_month,
  (SELECT starts_at FROM instant WHERE day = first_day)::varchar AS first_day_at,
  (SELECT starts_at FROM instant WHERE day = last_day)::varchar AS last_day_at,
  (SELECT starts_at FROM instant WHERE day = first_month)::varchar AS first_month_at,
  (SELECT starts_at FROM instant WHERE day = last_month)::varchar AS last_month_at
FROM bounds
LEFT JOIN whole ON true;
