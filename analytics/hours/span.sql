-- The span an answer is about, and the local midnights near its ends at which roll-ups may take over.
-- $since, $until timestamptz, null = as far as the log and the as-of time go · $as_of timestamptz · $log_from timestamptz, the log's
-- first instant, null = none · $zone IANA name · $cover_from, $cover_until date: the local days that are rolled up, the last
-- excluded, null = none.
-- Gives a row for each midnight: from_at, until_at varchar (timestamptz, cut at the as-of time), until_sharp varchar (a microsecond
-- later where it is the as-of time that cuts: what happened at that very instant is known), day varchar (date), day_at varchar
-- (timestamptz, its first instant), weekday, month_day integer, is_in boolean (within the span and what is rolled up).
WITH bounds AS (
  SELECT
    coalesce($since::timestamptz, least($log_from::timestamptz, $as_of::timestamptz)) AS from_at,
    least(coalesce($until::timestamptz, $as_of::timestamptz), $as_of::timestamptz) AS until_at,
    least(coalesce($until::timestamptz, 'infinity'::timestamptz), $as_of::timestamptz + INTERVAL 1 MICROSECOND) AS until_sharp
),
near AS (
  SELECT
    *,
    greatest(timezone($zone, from_at)::date, $cover_from::date) AS first_day,
    least(timezone($zone, until_at)::date, $cover_until::date) AS last_day
  FROM bounds
),
day AS (
  SELECT
    *,
    unnest(list_distinct([
      first_day,
      first_day + 1,
      date_trunc('month', first_day + INTERVAL 1 MONTH - INTERVAL 1 DAY)::date,
      date_trunc('month', first_day + INTERVAL 1 MONTH)::date,
      date_trunc('month', last_day)::date,
      last_day
    ])) AS day
  FROM near
),
-- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
midnight AS (
  SELECT
    *,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR)::date = day THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE)::date = day THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS day_at
  FROM (SELECT *, timezone($zone, day::timestamp) AS at_later FROM day)
)
SELECT
  from_at::varchar AS from_at,
  until_at::varchar AS until_at,
  until_sharp::varchar AS until_sharp,
  day::varchar AS day,
  day_at::varchar AS day_at,
  isodow(day)::integer AS weekday,
  day(day)::integer AS month_day,
  coalesce(day_at >= from_at AND day_at <= until_at AND day >= $cover_from::date AND day <= $cover_until::date, false) AS is_in
FROM midnight
ORDER BY day;
