-- What was heard of each station on each local day: events, and seconds in which its signs of life kept their rhythm.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $zone IANA name.
-- Gives: station varchar, day date, events, signs integer (an even share of the stretch's), alive_seconds double.
WITH span AS (
  SELECT
    coalesce($since::timestamptz, '-infinity'::timestamptz) AS from_at,
    least(coalesce($until::timestamptz, 'infinity'::timestamptz), $as_of::timestamptz + INTERVAL 1 MICROSECOND) AS until_at
),
spoken AS (
  SELECT station, timezone($zone, occurred_at)::date AS day, 1 AS events, 0.0 AS signs, 0.0 AS seconds
  FROM event, span
  WHERE occurred_at >= span.from_at AND occurred_at < span.until_at
),
stretch_day AS (
  SELECT
    a.station,
    a.signs,
    a.first_at,
    a.last_at,
    greatest(a.first_at, span.from_at) AS from_at,
    least(a.last_at, span.until_at) AS until_at,
    unnest(generate_series(
      timezone($zone, greatest(a.first_at, span.from_at))::date, timezone($zone, least(a.last_at, span.until_at))::date, INTERVAL 1 DAY
    ))::date AS day
  FROM alive_stretch a, span
  WHERE a.first_at < span.until_at AND a.last_at >= span.from_at
),
-- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
edge AS (
  SELECT
    day,
    CASE
      WHEN timezone($zone, at_later - INTERVAL 1 HOUR)::date = day THEN at_later - INTERVAL 1 HOUR
      WHEN timezone($zone, at_later - INTERVAL 30 MINUTE)::date = day THEN at_later - INTERVAL 30 MINUTE
      ELSE at_later
    END AS starts_at
  FROM (
    SELECT day, timezone($zone, day::timestamp) AS at_later
    FROM (SELECT day FROM stretch_day UNION SELECT (day + INTERVAL 1 DAY)::date FROM stretch_day)
  )
),
alive AS (
  SELECT
    s.station,
    s.day,
    0 AS events,
    (epoch_us(least(s.until_at, f.starts_at)) - epoch_us(greatest(s.from_at, e.starts_at))) / 1e6 AS seconds,
    CASE
      WHEN s.last_at > s.first_at
        THEN s.signs * (epoch_us(least(s.until_at, f.starts_at)) - epoch_us(greatest(s.from_at, e.starts_at))) / (epoch_us(s.last_at) - epoch_us(s.first_at))
      ELSE s.signs
    END AS signs
  FROM stretch_day s
  JOIN edge e ON e.day = s.day
  JOIN edge f ON f.day = (s.day + INTERVAL 1 DAY)::date
)
SELECT station, day, sum(events)::integer AS events, round(sum(signs))::integer AS signs, sum(seconds)::double AS alive_seconds
FROM (
  SELECT station, day, events, signs, seconds FROM spoken
  UNION ALL
  SELECT station, day, events, signs, seconds FROM alive
)
GROUP BY station, day
ORDER BY station, day;
