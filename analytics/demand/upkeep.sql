-- What the service record says each group cost within the span.
-- $from, $until timestamptz.
-- Gives: "group" varchar, records integer, cost double (of the records that name one).
SELECT m.group_id AS "group", count(r.cost)::integer AS records, coalesce(sum(r.cost), 0)::double AS cost
FROM machine m
JOIN service_known r ON r.machine = m.machine
WHERE m.kind = 'stations' AND r.done_at >= $from::timestamptz AND r.done_at < $until::timestamptz
GROUP BY m.group_id;
