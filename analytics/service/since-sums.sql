-- Use of each machine since the instants of service_point, from hours_stretch; unseen ends are not in the hours.
-- $zone IANA name.
-- Gives: point integer, days, sessions, starts, useDays integer, enabledHours, motorHours, factoredHours (enabled where no motor
-- events tell), loadHours double.
SELECT
  p.point AS "point",
  any_value(p.days) AS "days",
  coalesce(sum(s.sessions) FILTER (s.from_at >= p.from_at), 0)::integer AS "sessions",
  coalesce(sum(s.starts) FILTER (s.from_at >= p.from_at), 0)::integer AS "starts",
  count(DISTINCT CASE WHEN s.from_at >= p.from_at AND s.starts > 0 THEN timezone($zone, s.from_at)::date END)::integer AS "useDays",
  coalesce(sum(s.seconds) FILTER (s.measure = 'enabled'), 0) / 3600 AS "enabledHours",
  coalesce(sum(s.seconds) FILTER (s.measure = 'motor'), 0) / 3600 AS "motorHours",
  coalesce(
    sum(s.seconds) FILTER (s.measure = CASE WHEN s.machine IN (SELECT machine FROM hours_cover) THEN 'factored' ELSE 'enabled' END),
    0
  ) / 3600 AS "factoredHours",
  coalesce(sum(s.seconds) FILTER (s.measure = 'load'), 0) / 3600 AS "loadHours"
FROM service_point AS p
LEFT JOIN (
  SELECT
    h.machine,
    h.measure,
    h.sessions,
    h.starts,
    h.from_at,
    q.point,
    h.weight * greatest(0, epoch_us(CASE WHEN h.draws IS NULL THEN h.until_at ELSE h.from_at END - greatest(h.from_at, q.from_at))) / 1e6 AS seconds
  FROM hours_stretch AS h
  JOIN service_point AS q ON q.machine = h.machine AND h.until_at >= q.from_at
) AS s ON s.point = p.point
GROUP BY p.point;
