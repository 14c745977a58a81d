-- Use of each machine since the instants of service_point, from hours_stretch, which may have gaps; unseen ends are not in the hours.
-- $zone IANA name · $within boolean: only up to the end of the point's own local day.
-- Gives: point integer, sessions, starts, useDays integer, enabledHours, motorHours, factoredHours (enabled where no motor events
-- tell), loadHours double; no row where there is nothing.
WITH part AS (
  SELECT
    q.point,
    h.machine,
    h.measure,
    CASE WHEN h.from_at >= q.from_at THEN h.sessions ELSE 0 END AS sessions,
    CASE WHEN h.from_at >= q.from_at THEN h.starts ELSE 0 END AS starts,
    h.from_at,
    h.weight * greatest(0, epoch_us(
      CASE WHEN h.draws IS NOT NULL THEN h.from_at WHEN $within::boolean THEN least(h.until_at, q.next_at) ELSE h.until_at END
      - greatest(h.from_at, q.from_at)
    )) / 1e6 AS seconds
  FROM hours_stretch AS h
  JOIN service_point AS q ON q.machine = h.machine AND h.until_at >= q.from_at AND (NOT $within::boolean OR h.from_at < q.next_at)
)
SELECT
  point AS "point",
  sum(sessions)::integer AS "sessions",
  sum(starts)::integer AS "starts",
  count(DISTINCT CASE WHEN starts > 0 THEN timezone($zone, from_at)::date END)::integer AS "useDays",
  coalesce(sum(seconds) FILTER (measure = 'enabled'), 0) / 3600 AS "enabledHours",
  coalesce(sum(seconds) FILTER (measure = 'motor'), 0) / 3600 AS "motorHours",
  coalesce(
    sum(seconds) FILTER (measure = CASE WHEN machine IN (SELECT machine FROM hours_cover) THEN 'factored' ELSE 'enabled' END),
    0
  ) / 3600 AS "factoredHours",
  coalesce(sum(seconds) FILTER (measure = 'load'), 0) / 3600 AS "loadHours"
FROM part
GROUP BY point;
