-- The local months that are to be rolled up: those touched by a change, and those that were not covered.
-- $changes varchar, JSON list of {"from","until"} · $zone IANA name · $log_from timestamptz · $first_month, $until_month date: what is
-- covered so far, null = nothing.
-- Gives: month varchar (date), from_at, until_at varchar (timestamptz, its local bounds), stale boolean.
WITH longest AS (
  SELECT to_microseconds((coalesce(sum(run_on_seconds), 0) * 1e6)::bigint) AS run_on FROM machine
),
change AS (
  SELECT
    date_trunc('month', timezone($zone, (c->>'from')::timestamptz))::date AS first_month,
    date_trunc('month', timezone($zone, (c->>'until')::timestamptz + run_on))::date AS last_month
  FROM (SELECT unnest($changes::json[]) AS c), longest
),
reach AS (
  SELECT
    date_trunc('month', timezone($zone, $log_from::timestamptz))::date AS first_month,
    date_trunc('month', timezone($zone, max(until_at) + any_value(run_on)))::date AS last_month
  FROM
    (
      SELECT max(greatest(end_high, ended_at, started_at + to_microseconds((list_max(end_draws) * 1e6)::bigint))) AS until_at FROM session
      UNION ALL
      SELECT max(greatest(stop_high, stopped_at)) FROM motor
    ),
    longest
),
month AS (
  SELECT unnest(generate_series(first_month, last_month, INTERVAL 1 MONTH))::date AS month FROM reach WHERE last_month IS NOT NULL
),
-- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
edge AS (
  SELECT
    month,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR)::date = month THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE)::date = month THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS starts_at
  FROM (
    SELECT month, timezone($zone, month::timestamp) AS at_later
    FROM (SELECT month FROM month UNION SELECT (month + INTERVAL 1 MONTH)::date FROM month)
  )
)
SELECT
  m.month::varchar AS month,
  e.starts_at::varchar AS from_at,
  f.starts_at::varchar AS until_at,
  $first_month IS NULL
    OR m.month < $first_month::date
    OR m.month >= $until_month::date
    OR EXISTS (FROM change c WHERE m.month BETWEEN c.first_month AND c.last_month) AS stale
FROM month m
JOIN edge e ON e.month = m.month
JOIN edge f ON f.month = (m.month + INTERVAL 1 MONTH)::date
ORDER BY m.month;
