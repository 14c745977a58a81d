-- Turns on each group by local week (from Monday), the doors' open hours by weekday, and how much of them each group had a unit in
-- order. A turn is one badge's sessions on one machine with less than a quarter of an hour between them.
-- $zone IANA name · $history timestamptz, null = from the log's beginning · $as_of timestamptz · $silent JSON list of {machine, from, until} (RFC 3339): stations that were not heard.
-- Gives: "group" varchar, week integer (weeks since Monday 5 January 1970), "from", "until" timestamptz (until excluded), turns
-- integer, units integer, "inOrder", heard double (shares of the units' open time in order, and not silent), "openHours" double[] (Monday to Sunday),
-- "turnsByDay" integer[] (of the whole shop, the same in every row of a week).
WITH begun AS (
  SELECT
    machine,
    started_at,
    coalesce(
      badge IS DISTINCT FROM lag(badge) OVER before
      OR epoch_us(started_at) - epoch_us(lag(end_best) OVER before) >= 900000000,
      true
    ) AS is_turn
  FROM session
  WHERE started_at <= $as_of::timestamptz AND ($history::timestamptz IS NULL OR started_at >= $history::timestamptz)
  WINDOW before AS (PARTITION BY machine ORDER BY started_at)
), by_hour AS MATERIALIZED (
  SELECT machine, epoch_us(started_at) // 3600000000 AS hour, count(*)::int AS turns
  FROM begun
  WHERE is_turn
  GROUP BY ALL
), local_hour AS (
  SELECT hour, (epoch_us(timezone($zone, make_timestamptz((hour * 3600000000)::bigint))) // 86400000000 - 4)::int AS day
  FROM (SELECT DISTINCT hour FROM by_hour)
), by_day AS MATERIALIZED (
  SELECT m.group_id, l.day, sum(b.turns)::int AS turns
  FROM by_hour AS b
  JOIN local_hour AS l ON l.hour = b.hour
  JOIN machine AS m ON m.machine = b.machine AND m.kind = 'stations'
  GROUP BY m.group_id, l.day
), edge AS (
  SELECT
    min(day) // 7 + 1 AS first_week,
    (epoch_us(timezone($zone, $as_of::timestamptz)) // 86400000000 - 4) // 7 - 1 AS last_week
  FROM by_day
), week AS MATERIALIZED (
  SELECT
    w::int AS week,
    timezone($zone, TIMESTAMP '1970-01-05' + to_days((7 * w)::integer)) AS from_at,
    timezone($zone, TIMESTAMP '1970-01-05' + to_days((7 * w + 7)::integer)) AS until_at
  FROM (SELECT unnest(range(first_week, last_week + 1)) AS w FROM edge)
), span AS (
  SELECT day AS date, epoch_us(day::timestamp) // 86400000000 - 4 AS day, from_at, until_at FROM opening
), open_day AS (
  SELECT day, sum(epoch_us(until_at) - epoch_us(from_at)) / 3.6e9 AS hours FROM span GROUP BY day
), open_week AS (
  SELECT
    w.week,
    list(coalesce(o.hours, 0) ORDER BY d.weekday) AS hours,
    list(coalesce(t.turns, 0) ORDER BY d.weekday) AS turns
  FROM week AS w
  CROSS JOIN range(7) AS d(weekday)
  LEFT JOIN open_day AS o ON o.day = 7 * w.week + d.weekday
  LEFT JOIN (SELECT day, sum(turns)::int AS turns FROM by_day GROUP BY day) AS t ON t.day = 7 * w.week + d.weekday
  GROUP BY w.week
), unit AS (
  SELECT
    machine,
    group_id,
    coalesce(from_at, '-infinity'::timestamptz) AS from_at,
    coalesce(until_at, 'infinity'::timestamptz) AS until_at
  FROM machine
  WHERE kind = 'stations'
), away AS (
  SELECT machine, from_at, until_at, false AS is_silent FROM machine_outage
  UNION ALL
  SELECT a.machine, a."from"::timestamptz, a.until::timestamptz, true
  FROM (SELECT unnest(from_json_strict($silent, '[{"machine":"VARCHAR","from":"VARCHAR","until":"VARCHAR"}]')) AS a)
), lost AS (
  SELECT
    u.group_id,
    o.day // 7 AS week,
    coalesce(sum(part) FILTER (NOT x.is_silent), 0) AS out_hours,
    coalesce(sum(part) FILTER (x.is_silent), 0) AS silent_hours
  FROM away AS x
  JOIN unit AS u ON u.machine = x.machine
  JOIN span AS o ON o.from_at < least(x.until_at, $as_of::timestamptz) AND o.until_at > x.from_at
  CROSS JOIN LATERAL (
    SELECT (epoch_us(least(o.until_at, x.until_at)) - epoch_us(greatest(o.from_at, x.from_at))) / 3.6e9 AS part
  ) AS p
  WHERE x.from_at < $as_of::timestamptz
  GROUP BY u.group_id, week
), grouped AS (
  SELECT w.week, w.from_at, w.until_at, u.group_id, count(*)::int AS units
  FROM week AS w
  JOIN unit AS u ON u.from_at <= w.from_at AND u.until_at >= w.until_at
  GROUP BY ALL
), counted AS (
  SELECT group_id, day // 7 AS week, sum(turns)::int AS turns FROM by_day GROUP BY group_id, week
)
SELECT
  g.group_id AS "group",
  g.week,
  g.from_at AS "from",
  g.until_at AS "until",
  coalesce(c.turns, 0)::int AS turns,
  g.units,
  CASE WHEN list_sum(o.hours) > 0 THEN greatest(0, 1 - coalesce(l.out_hours, 0) / (g.units * list_sum(o.hours))) ELSE 1 END AS "inOrder",
  CASE WHEN list_sum(o.hours) > 0 THEN greatest(0, 1 - coalesce(l.silent_hours, 0) / (g.units * list_sum(o.hours))) ELSE 1 END AS heard,
  o.hours AS "openHours",
  o.turns AS "turnsByDay"
FROM grouped AS g
JOIN open_week AS o ON o.week = g.week
LEFT JOIN counted AS c ON c.group_id = g.group_id AND c.week = g.week
LEFT JOIN lost AS l ON l.group_id = g.group_id AND l.week = g.week
ORDER BY g.week, g.group_id;
