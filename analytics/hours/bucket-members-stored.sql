-- Adds to hours_part how many persons began a session, by machine and bucket, each counted once; from the
-- roll-ups, which keep persons as bits, and hours_member at the edges.
-- $by, $machine, $tier, $tier_from, $tier_until, $day_from, $day_until as for the known parts.
INSERT INTO hours_part BY NAME
WITH part AS (
  SELECT m.machine, m.label, ((isodow(m.label) - 1) * 24 + hour(m.label))::integer AS hour_of_week, p.number // 512 AS chunk, bitstring_agg(p.number % 512, 0, 511) AS persons
  FROM hours_member m
  JOIN rollup_person p ON p.person = m.person
  GROUP BY ALL
  UNION ALL
  SELECT machine, label, hour_of_week, chunk, persons
  FROM rollup_member
  WHERE tier = $tier AND label >= $tier_from::timestamp AND label < $tier_until::timestamp
    AND ($machine::varchar IS NULL OR machine = $machine::varchar)
  UNION ALL
  SELECT machine, label, hour_of_week, chunk, persons
  FROM rollup_member
  WHERE tier = 'day' AND label >= $day_from::timestamp AND label < $day_until::timestamp
    AND NOT (label >= $tier_from::timestamp AND label < $tier_until::timestamp)
    AND ($machine::varchar IS NULL OR machine = $machine::varchar)
),
joined AS (
  SELECT
    machine,
    CASE $by
      WHEN 'day' THEN label
      WHEN 'week' THEN date_trunc('week', label)
      WHEN 'month' THEN date_trunc('month', label)
    END::timestamp AS bucket,
    CASE WHEN $by = 'hour-of-week' THEN hour_of_week END AS hour_of_week,
    chunk,
    bit_count(bit_or(persons)) AS members
  FROM part
  GROUP BY ALL
)
SELECT machine, bucket, hour_of_week, sum(members)::integer AS members FROM joined GROUP BY ALL;
