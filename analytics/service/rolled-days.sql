-- Days of use among the rolled-up local days after some instants of service_point.
-- $until timestamp: the first label that is not taken · $points varchar, JSON list of the points.
-- Gives: point integer, useDays integer.
SELECT p.point AS "point", count(*)::integer AS "useDays"
FROM service_point AS p
JOIN (FROM rollup WHERE tier = 'day' AND starts > 0) AS r ON r.machine = p.machine AND r.label >= p.next_day
WHERE r.label < $until::timestamp AND p.point IN (SELECT unnest(from_json_strict($points, '["INTEGER"]')))
GROUP BY p.point;
