-- Use of each machine in the rolled-up local days after the instants of service_point; unseen ends are not in the hours.
-- $until timestamp: the first label that is not taken.
-- Gives: point integer, sessions, starts, useDays integer, enabledHours, motorHours, factoredHours, loadHours double; no row where
-- there is nothing.
SELECT
  p.point AS "point",
  sum(r.sessions)::integer AS "sessions",
  sum(r.starts)::integer AS "starts",
  count(*) FILTER (r.starts > 0)::integer AS "useDays",
  sum(r.enabled_seconds) / 3600 AS "enabledHours",
  sum(r.motor_seconds) / 3600 AS "motorHours",
  sum(r.factored_seconds) / 3600 AS "factoredHours",
  sum(r.load_seconds) / 3600 AS "loadHours"
FROM service_point AS p
JOIN rollup AS r ON r.machine = p.machine AND r.label >= p.next_day
WHERE r.tier = 'day' AND r.label < $until::timestamp
GROUP BY p.point;
