-- Adds local months to the roll-ups of persons, as bits: their days, themselves, and their hours of the week; from hours_member by hours.
INSERT INTO rollup_member
SELECT tier, machine, label, hour_of_week, chunk, bitstring_agg(bit, 0, 511)
FROM (
  SELECT DISTINCT
    unnest(['day', 'month', 'hour-of-week']) AS tier,
    m.machine,
    unnest([date_trunc('day', m.label), date_trunc('month', m.label), date_trunc('month', m.label)])::timestamp AS label,
    unnest([NULL, NULL, ((isodow(m.label) - 1) * 24 + hour(m.label))::integer])::integer AS hour_of_week,
    p.number // 512 AS chunk,
    p.number % 512 AS bit
  FROM hours_member m
  JOIN rollup_person p ON p.person = m.person
)
GROUP BY tier, machine, label, hour_of_week, chunk
ORDER BY tier, machine, label;
