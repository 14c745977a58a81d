-- When each cause struck in each joint world: evenly between its bounds, as far as the signs of life that did not come allow.
-- $seed varchar. Reads judged, cause, shuffle. Makes cause_cut: cause_id, from_best, cuts double[] (seconds since 1970).
CREATE OR REPLACE TEMP TABLE cause_cut AS
WITH lucky AS (
  SELECT *, md5_number_lower(concat('cause:', cause_id, ':', $seed::varchar)) AS luck
  FROM cause WHERE cause_id IN (SELECT cause_id FROM judged)
), first AS MATERIALIZED (
  -- One order after the other: joined in one go, a plan may cross the three of them before it looks at luck.
  SELECT lucky.*, a.places AS first_places FROM lucky JOIN shuffle AS a ON a.number = luck % 256
), second AS MATERIALIZED (
  SELECT first.*, b.places AS second_places FROM first JOIN shuffle AS b ON b.number = 256 + (luck >> 8) % 256
), third AS MATERIALIZED (
  SELECT second.*, c.places AS third_places FROM second JOIN shuffle AS c ON c.number = 512 + (luck >> 16) % 256
)
SELECT cause_id, from_best,
  list_transform(list_select(first_places, list_select(second_places, third_places)), lambda place:
    epoch_us(from_low) / 1e6 + (place - 0.5) / 50 * (epoch_us(from_best) - epoch_us(from_low)) / 1e6) AS cuts
FROM third
