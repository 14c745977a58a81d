-- Makes the temporary table hours_draw: what unseen ends add to each local day or hour of hours_slot, one column for each joint
-- world.
-- $zone IANA name · $grain varchar, day or hour.
-- Gives the table: machine varchar, label timestamp, measure varchar (enabled, motor, factored, load), w001 … double, seconds.
CREATE OR REPLACE TEMP TABLE hours_draw AS
WITH labelled AS (
  SELECT
    *,
    date_trunc($grain, timezone($zone, from_at)) AS first_label,
    date_trunc($grain, timezone($zone, until_at)) AS last_label
  FROM hours_stretch
  WHERE draws IS NOT NULL AND until_at > from_at AND measure <> 'feed'
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
    c.weight,
    c.draws,
    (epoch_us(greatest(c.from_at, slot.from_at)) - epoch_us(c.base_at)) / 1e6 AS from_seconds,
    (epoch_us(least(c.until_at, slot.until_at)) - epoch_us(c.base_at)) / 1e6 AS until_seconds
  FROM cut c
  JOIN hours_slot slot ON slot.label = c.label
)
SELECT
  machine,
  label,
  measure,
  sum(weight * greatest(0, least(draws[COLUMNS('^w[0-9]+$')], until_seconds) - from_seconds))
FROM timed, world
GROUP BY machine, label, measure;
