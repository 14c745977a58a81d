-- Adds to hours_part the run-hours of machines that have nothing but an hour meter, by bucket: between two
-- readings they are spread evenly, beyond the last one they go on at the machine's mean rate.
-- $rates varchar, JSON list of {"machine", "from", "until", "rate" (run-hours per hour), "variance" (hours² per hour of the bucket's
-- own scatter), "rateVariance", "closed" (both ends are readings)} · $from, $until timestamptz: the span · $by varchar ·
-- $zone IANA name · $grain varchar, day or hour.
INSERT INTO hours_part BY NAME
WITH rate AS (
  SELECT
    r->>'machine' AS machine,
    (r->>'from')::timestamptz AS from_at,
    (r->>'until')::timestamptz AS until_at,
    (r->>'rate')::double AS rate,
    (r->>'variance')::double AS variance,
    (r->>'rateVariance')::double AS rate_variance,
    (r->>'closed')::boolean AS closed
  FROM (SELECT unnest($rates::json[]) AS r)
),
-- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
day AS (
  SELECT
    day,
    CASE
      WHEN timezone($zone, first_at - INTERVAL 1 HOUR)::date = day THEN first_at - INTERVAL 1 HOUR
      WHEN timezone($zone, first_at - INTERVAL 30 MINUTE)::date = day THEN first_at - INTERVAL 30 MINUTE
      ELSE first_at
    END AS from_at
  FROM (
    SELECT day, timezone($zone, day::timestamp) AS first_at
    FROM (
      SELECT unnest(generate_series(
        timezone($zone, $from::timestamptz)::date, timezone($zone, $until::timestamptz)::date + INTERVAL 1 DAY, INTERVAL 1 DAY
      ))::date AS day
      WHERE $rates <> '[]'
    )
  )
),
hour_line AS (
  SELECT unnest(generate_series(from_at, lead(from_at) OVER (ORDER BY day) - INTERVAL 15 MINUTE, INTERVAL 15 MINUTE)) AS from_at
  FROM day
  QUALIFY lead(from_at) OVER (ORDER BY day) IS NOT NULL
),
slot AS (
  SELECT day::timestamp AS label, from_at, lead(from_at) OVER (ORDER BY day) AS until_at FROM day WHERE $grain = 'day'
  UNION ALL
  SELECT date_trunc('hour', timezone($zone, from_at)), from_at, from_at + INTERVAL 15 MINUTE FROM hour_line WHERE $grain = 'hour'
),
overlap AS (
  SELECT
    r.*,
    CASE $by
      WHEN 'day' THEN s.label
      WHEN 'week' THEN date_trunc('week', s.label)
      WHEN 'month' THEN date_trunc('month', s.label)
    END::timestamp AS bucket,
    CASE WHEN $by = 'hour-of-week' THEN ((isodow(s.label) - 1) * 24 + hour(s.label))::integer END AS hour_of_week,
    (epoch_us(least(s.until_at, r.until_at, $until::timestamptz)) - epoch_us(greatest(s.from_at, r.from_at, $from::timestamptz))) / 3.6e9 AS hours
  FROM rate r
  JOIN slot s ON s.from_at < least(r.until_at, $until::timestamptz) AND s.until_at > greatest(r.from_at, $from::timestamptz)
),
per_reading AS (
  SELECT machine, from_at, until_at, rate, variance, rate_variance, closed, bucket, hour_of_week, sum(hours) AS hours
  FROM overlap
  GROUP BY ALL
)
SELECT
  machine,
  bucket,
  hour_of_week,
  sum(rate * hours) AS metered_hours,
  sum(CASE
    WHEN closed THEN variance * hours * greatest(0, 1 - hours / ((epoch_us(until_at) - epoch_us(from_at)) / 3.6e9))
    ELSE variance * hours + rate_variance * hours ** 2
  END) AS metered_variance
FROM per_reading
GROUP BY machine, bucket, hour_of_week;
