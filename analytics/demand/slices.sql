-- Makes the temporary table demand_slice: open time within the span, cut at full local hours and where the last start is over.
-- Stretches that follow one another without a pause are one spell, from unlocking to locking up; without opening hours the whole
-- span is one spell that nobody locks up.
-- $from, $until timestamptz: the span, until excluded · $last_start_minutes double: nobody begins afresh so shortly before locking up
-- · $zone IANA name · $extra_weekday integer (1 = Monday), $extra_from, $extra_until integer (minutes after that day's local midnight):
-- hours in which the doors would be open as well, null = none.
-- Gives the table: slice integer (from 1 up, in order of time), spell integer, from_at, until_at, spell_until timestamptz, month date
-- (its first local day), hour_of_week integer (0 is Monday from midnight on), is_last boolean (too late to begin).
CREATE OR REPLACE TEMP TABLE demand_slice AS
WITH usual AS MATERIALIZED (
  SELECT greatest(from_at, $from::timestamptz) AS from_at, least(until_at, $until::timestamptz) AS until_at, true AS locks
  FROM opening
  WHERE from_at < $until::timestamptz AND until_at > $from::timestamptz
  UNION ALL
  SELECT $from::timestamptz, $until::timestamptz, false
  WHERE NOT EXISTS (FROM opening)
),
extra AS (
  SELECT
    greatest(timezone($zone, day + to_minutes($extra_from::integer)), $from::timestamptz) AS from_at,
    least(timezone($zone, day + to_minutes($extra_until::integer)), $until::timestamptz) AS until_at,
    true AS locks
  FROM (
    SELECT unnest(generate_series(
      timezone($zone, $from::timestamptz)::date - 1,
      timezone($zone, $until::timestamptz)::date,
      INTERVAL 1 DAY
    )) AS day
  )
  WHERE isodow(day) = $extra_weekday::integer AND EXISTS (FROM opening)
),
stretch AS (
  FROM usual
  UNION ALL
  FROM extra
),
marked AS (
  SELECT *, CASE WHEN from_at <= max(until_at) OVER before THEN 0 ELSE 1 END AS is_new
  FROM stretch
  WHERE from_at < until_at
  WINDOW before AS (ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
),
spell AS (
  SELECT spell, min(from_at) AS from_at, max(until_at) AS until_at, bool_and(locks) AS locks
  FROM (SELECT *, sum(is_new) OVER (ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING)::integer AS spell FROM marked)
  GROUP BY spell
),
limits AS (
  SELECT
    *,
    CASE
      WHEN locks THEN greatest(from_at, until_at - to_microseconds(($last_start_minutes * 6e7)::bigint))
      ELSE until_at
    END AS last_at
  FROM spell
),
-- A local hour starts where its label changes; offsets are whole quarter-hours.
bound AS (
  SELECT spell, unnest([from_at, last_at, until_at]) AS at_time FROM limits
  UNION
  -- Where usual hours begin or end within a longer spell.
  SELECT l.spell, e.at_time
  FROM (SELECT DISTINCT unnest([from_at, until_at]) AS at_time FROM usual WHERE $extra_weekday IS NOT NULL) e
  JOIN limits l ON e.at_time > l.from_at AND e.at_time < l.until_at
  UNION
  SELECT spell, quarter_at
  FROM (
    SELECT
      spell,
      until_at,
      unnest(generate_series(time_bucket(INTERVAL 15 MINUTE, from_at) + INTERVAL 15 MINUTE, until_at, INTERVAL 15 MINUTE)) AS quarter_at
    FROM limits
  )
  WHERE quarter_at < until_at
    AND date_trunc('hour', timezone($zone, quarter_at)) <> date_trunc('hour', timezone($zone, quarter_at - INTERVAL 15 MINUTE))
),
cut AS (
  SELECT spell, at_time AS from_at, lead(at_time) OVER (PARTITION BY spell ORDER BY at_time) AS until_at FROM bound
)
SELECT
  row_number() OVER (ORDER BY c.from_at)::integer AS slice,
  c.spell,
  c.from_at,
  c.until_at,
  l.until_at AS spell_until,
  date_trunc('month', timezone($zone, c.from_at))::date AS month,
  ((isodow(timezone($zone, c.from_at)) - 1) * 24 + hour(timezone($zone, c.from_at)))::integer AS hour_of_week,
  c.from_at >= l.last_at AS is_last
FROM cut c
JOIN limits l ON l.spell = c.spell
WHERE c.until_at > c.from_at;
