-- When each cause struck in each joint world: evenly between its bounds, as far as the signs of life that did not come allow.
-- $seed varchar. Reads cause, shuffle. Makes cause_cut: cause_id, cuts double[] (seconds since 1970).
CREATE OR REPLACE TEMP TABLE cause_cut AS
SELECT cause_id,
  list_transform(list_select(a.places, list_select(b.places, c.places)), lambda place:
    epoch_us(from_low) / 1e6 + (place - 0.5) / 50 * (epoch_us(from_best) - epoch_us(from_low)) / 1e6) AS cuts
FROM (
  SELECT *, md5_number_lower(concat('cause:', cause_id, ':', $seed::varchar)) AS luck
  FROM cause WHERE kind IN ('power-cut', 'contact')
)
JOIN shuffle AS a ON a.number = luck % 256
JOIN shuffle AS b ON b.number = 256 + (luck >> 8) % 256
JOIN shuffle AS c ON c.number = 512 + (luck >> 16) % 256
