-- Makes the temporary table hours_piece: hours_stretch cut at the local days or hours of hours_slot, as far as ends are known.
-- $zone IANA name · $grain varchar, day or hour.
-- Gives the table: machine varchar, label timestamp, sessions, starts integer, enabled_seconds, motor_seconds, factored_seconds
-- (enabled where no motor events tell), load_seconds double; no row where nothing happened.
CREATE OR REPLACE TEMP TABLE hours_piece AS
WITH labelled AS (
  SELECT
    machine,
    measure,
    weight,
    from_at,
    CASE WHEN draws IS NULL THEN until_at ELSE from_at END AS until_at,
    sessions,
    starts,
    date_trunc($grain, timezone($zone, from_at)) AS first_label,
    date_trunc($grain, timezone($zone, CASE WHEN draws IS NULL THEN until_at ELSE from_at END)) AS last_label
  FROM hours_stretch
  WHERE measure <> 'feed'
),
cut AS (
  SELECT
    *,
    unnest(CASE
      WHEN first_label >= last_label THEN [first_label]
      WHEN $grain = 'day' THEN generate_series(first_label, last_label, INTERVAL 1 DAY)
      ELSE generate_series(first_label, last_label, INTERVAL 1 HOUR)
    END) AS label
  FROM labelled
),
timed AS (
  SELECT
    c.machine,
    slot.label,
    c.measure,
    CASE WHEN c.label = c.first_label THEN c.sessions ELSE 0 END AS sessions,
    CASE WHEN c.label = c.first_label THEN c.starts ELSE 0 END AS starts,
    c.weight * greatest(0, (epoch_us(least(c.until_at, slot.until_at)) - epoch_us(greatest(c.from_at, slot.from_at)))) / 1e6 AS seconds
  FROM cut c
  JOIN hours_slot slot ON slot.label = c.label
),
summed AS (
  SELECT
    machine,
    label,
    sum(sessions)::integer AS sessions,
    sum(starts)::integer AS starts,
    coalesce(sum(seconds) FILTER (measure = 'enabled'), 0) AS enabled_seconds,
    coalesce(sum(seconds) FILTER (measure = 'motor'), 0) AS motor_seconds,
    coalesce(sum(seconds) FILTER (measure = 'factored'), 0) AS factored_seconds,
    coalesce(sum(seconds) FILTER (measure = 'load'), 0) AS load_seconds
  FROM timed
  GROUP BY machine, label
)
SELECT
  machine,
  label,
  sessions,
  starts,
  enabled_seconds,
  motor_seconds,
  CASE WHEN machine IN (SELECT machine FROM hours_cover) THEN factored_seconds ELSE enabled_seconds END AS factored_seconds,
  load_seconds
FROM summed
WHERE sessions > 0 OR starts > 0 OR abs(enabled_seconds) > 1e-6 OR motor_seconds > 1e-6 OR abs(factored_seconds) > 1e-6 OR load_seconds > 1e-6;
